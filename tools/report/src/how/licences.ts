// Licences of the libraries in the page, unpacked when the reader opens them.
import {html} from "../parts/elements";
import {loader} from "../shell/carried";
import {words} from "../words";

export function licences(): HTMLElement {
  const place = html("pre", {class: "source", tabindex: 0});
  return html("details", {class: "screen-only", toggle: async () => {
    if (!place.textContent) place.textContent = await loader().licences();
  }}, html("summary", {}, words.how.licences), place);
}
