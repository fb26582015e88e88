// Light, dark, or as on the reader's device; always light on paper.
import {picker} from "./elements";
import {words} from "../words";

const followers: (() => void)[] = [];
let chosen = "auto";
let onPaper = false;

/** Width of charts, px: that of the element they are in; on paper one at which text on A4 is legible. */
export const chartWidth = (place: HTMLElement) => (onPaper ? 700 : Math.max(Math.min(place.clientWidth || 920, 1100), 300));

function apply(theme: string): void {
  if (theme === "auto") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
  for (const follow of followers) follow();
}

export const onTheme = (follow: () => void) => void followers.push(follow);
export const forgetThemeFollowers = () => void followers.splice(0);

export function themePicker(): HTMLElement {
  return picker(words.choose.theme, Object.entries(words.choose.themes).map(([value, text]) => ({value, text})), chosen, (value) => {
    chosen = value;
    apply(value);
  });
}

export function watchTheme(): void {
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => apply(chosen));
  const printed = (printing: boolean) => {
    if (printing === onPaper) return;
    onPaper = printing;
    apply(printing ? "light" : chosen);
  };
  matchMedia("print").addEventListener("change", (event) => printed(event.matches));
  addEventListener("beforeprint", () => printed(true));
  addEventListener("afterprint", () => printed(false));
}
