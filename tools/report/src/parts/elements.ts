// Builds page elements from values. Text always becomes a text node, so text from a file can never become markup.

export type Child = Node | string | number | null | undefined | false | Child[];
type Attributes = Record<string, string | number | boolean | null | undefined | ((event: never) => void)>;

function filled<E extends Element>(element: E, attributes: Attributes, children: Child[]): E {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") element.addEventListener(name, value as unknown as EventListener);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  append(element, children);
  return element;
}

export function append(parent: Element, children: Child[]): void {
  for (const child of children) {
    if (child === null || child === undefined || child === false) continue;
    if (Array.isArray(child)) append(parent, child);
    else parent.append(child instanceof Node ? child : String(child));
  }
}

export function html<K extends keyof HTMLElementTagNameMap>(tag: K, attributes: Attributes = {}, ...children: Child[]): HTMLElementTagNameMap[K] {
  return filled(document.createElement(tag), attributes, children);
}

export function svg<K extends keyof SVGElementTagNameMap>(tag: K, attributes: Attributes = {}, ...children: Child[]): SVGElementTagNameMap[K] {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
}

/** Text from a file, isolated so that right-to-left text does not reorder the text around it. */
export const own = (text: string) => html("bdi", {}, text);

/** The same inside SVG, which has no such element: Unicode isolate characters. */
export const isolated = (text: string) => `\u2068${text}\u2069`;

export interface Column {
  head: Child;
  /** Align to the right, for numbers. */
  right?: boolean;
}

/** A table with a caption; the first column holds the row headings. */
export function table(caption: string, columns: Column[], rows: Child[][], attributes: Attributes = {}): HTMLElement {
  return html(
    "div",
    {class: "scroll", tabindex: 0, role: "region", "aria-label": caption},
    html(
      "table",
      attributes,
      html("caption", {}, caption),
      html("thead", {}, html("tr", {}, columns.map((column) => html("th", {scope: "col", class: column.right ? "right" : null}, column.head)))),
      html(
        "tbody",
        {},
        rows.map((row) =>
          html("tr", {}, row.map((cell, index) => {
            const look = {class: columns[index]?.right ? "right" : null};
            return index === 0 ? html("th", {scope: "row", ...look}, cell) : html("td", look, cell);
          }))
        )
      )
    )
  );
}

let numbered = 0;
export const freshId = (stem: string) => `${stem}-${++numbered}`;

/** A labelled drop-down list. */
export function picker(label: string, options: {value: string; text: string}[], value: string, picked: (value: string) => void): HTMLElement {
  const id = freshId("pick");
  const select = html("select", {id, change: () => picked(select.value)},
    options.map((option) => html("option", {value: option.value, selected: option.value === value}, option.text)));
  return html("span", {class: "pick"}, html("label", {for: id}, label), select);
}

export function tick(label: Child, checked: boolean, changed: (checked: boolean) => void, attributes: Attributes = {}): HTMLElement {
  const box = html("input", {type: "checkbox", checked, change: () => changed(box.checked), ...attributes});
  return html("label", {class: "tick"}, box, html("span", {}, label));
}

export function button(text: string, pressed: () => void, attributes: Attributes = {}): HTMLButtonElement {
  return html("button", {type: "button", click: pressed, ...attributes}, text);
}
