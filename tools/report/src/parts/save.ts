// Saves charts and tables as files: SVG, PNG, CSV.
import type {Line} from "./plot";

function offerDownload(name: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}

export const fileName = (title: string, ending: string) =>
  `${title.replace(/[^\p{L}\p{N}]+/gu, "_").replace(/^_+|_+$/g, "").slice(0, 80) || "chart"}.${ending}`;

/** The drawing as a self-contained SVG text, with the page's light colours written out on a paper background. */
export function standAlone(drawing: SVGSVGElement): string {
  const copy = drawing.cloneNode(true) as SVGSVGElement;
  const paper = document.createElement("div");
  paper.dataset.theme = "light";
  document.body.append(paper);
  const style = getComputedStyle(paper);
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  copy.querySelectorAll(".cursor").forEach((mark) => mark.remove());
  const back = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  for (const [key, value] of [["width", "100%"], ["height", "100%"], ["fill", "var(--paper)"]]) back.setAttribute(key, value);
  copy.prepend(back);
  const text = new XMLSerializer()
    .serializeToString(copy)
    .replace(/var\((--[\w-]+)\)/g, (_, name: string) => style.getPropertyValue(name).trim().replace(/"/g, "'"));
  paper.remove();
  return text;
}

export function saveSvg(drawing: SVGSVGElement, title: string): void {
  offerDownload(fileName(title, "svg"), new Blob([standAlone(drawing)], {type: "image/svg+xml"}));
}

/** Saves at twice the resolution of the screen. */
export async function savePng(drawing: SVGSVGElement, title: string): Promise<void> {
  const picture = new Image();
  const {width, height} = drawing.viewBox.baseVal;
  picture.src = "data:image/svg+xml;charset=utf-8," + encodeURIComponent(standAlone(drawing));
  await picture.decode();
  const canvas = document.createElement("canvas");
  canvas.width = 2 * width;
  canvas.height = 2 * height;
  canvas.getContext("2d")!.drawImage(picture, 0, 0, canvas.width, canvas.height);
  const content = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/png"));
  if (content) offerDownload(fileName(title, "png"), content);
}

const cell = (text: string) => (/[",\r\n]/.test(text) ? `"${text.replace(/"/g, '""')}"` : text);

/** Lines as comma-separated values; lines with the same x values share a block, others get a block of their own. */
export function csvOf(xTitle: string, yTitle: string, lines: Line[]): string {
  const blocks: Line[][] = [];
  for (const line of lines) {
    const sameX = blocks.find(([first]) => first.x === line.x);
    if (sameX) sameX.push(line);
    else blocks.push([line]);
  }
  return blocks
    .map((block) =>
      [
        [xTitle, ...block.map((line) => `${line.name}: ${yTitle}`)].map(cell).join(","),
        ...Array.from(block[0].x, (x, index) => [x, ...block.map((line) => line.y[index])].map((value) => Number(value.toPrecision(7))).join(","))
      ].join("\r\n")
    )
    .join("\r\n\r\n") + "\r\n";
}

export function saveCsv(xTitle: string, yTitle: string, lines: Line[], title: string): void {
  offerDownload(fileName(title, "csv"), new Blob([csvOf(xTitle, yTitle, lines)], {type: "text/csv"}));
}

export function saveBytes(name: string, bytes: Uint8Array): void {
  offerDownload(name, new Blob([bytes as Uint8Array<ArrayBuffer>], {type: "application/x-hdf5"}));
}
