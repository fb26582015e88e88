// The system: limits and electrical figures, each with its margin, where the file has them.
import {html, own, table} from "../parts/elements";
import type {Page, Section} from "../parts/page";
import {words} from "../words";

const GROUPS = ["/system", "/limits"];

/** Tables of a group: datasets of one length stand side by side as its columns. */
function tablesOf({model}: Page, group: string): HTMLElement[] {
  const found: HTMLElement[] = [];
  const byLength = new Map<string, {head: string; cells: string[]}[]>();
  for (const name of model.file.names(group)) {
    const path = `${group}/${name}`;
    const head = model.file.about(path, "long_name") || name, units = model.file.about(path, "units");
    const folder = name.split("/").slice(0, -1).join("/");
    let cells: string[] = [];
    try {
      cells = model.file.texts(path);
    } catch {
      try {
        const numbers = model.file.numbers(path, [null]);
        cells = Array.from(numbers?.data ?? [], (value) => Number(value.toPrecision(4)).toString());
      } catch {
        continue; // tables of more than one axis have views of their own
      }
    }
    const key = `${folder} ${cells.length}`;
    byLength.set(key, [...(byLength.get(key) ?? []), {head: units && units !== "1" ? `${head}, ${units}` : head, cells}]);
  }
  for (const columns of byLength.values())
    if (columns[0].cells.length > 0)
      found.push(table(words.sections.system, columns.map(({head}) => ({head})), columns[0].cells.map((_, row) => columns.map(({cells}) => own(cells[row])))));
  return found;
}

export const systemSection: Section = {
  id: "system",
  title: words.sections.system,
  make(page) {
    const tables = GROUPS.flatMap((group) => tablesOf(page, group));
    return tables.length > 0 ? html("div", {}, tables) : null;
  }
};
