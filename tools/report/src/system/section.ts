// The rest of the system: outputs, wiring, power supply, load space and maximum level; each if the file has it.
import {html} from "../parts/elements";
import type {Section} from "../parts/page";
import {maximumLevel} from "./maximum_level";
import {outputs, wirings} from "./outputs";
import {supply} from "./supply";
import {words} from "../words";

export const systemSection: Section = {
  id: "system",
  title: words.sections.system,
  make(page) {
    const {model} = page;
    const feeds = [outputs(model), wirings(model)].filter((part) => part !== null);
    const currents = supply(model).filter((part) => part !== null);
    const levels = maximumLevel(page);
    if (feeds.length === 0 && currents.length === 0 && !levels) return null;
    return html(
      "div",
      {},
      feeds.length > 0 && [html("h3", {}, words.system.outputsHead), feeds],
      currents.length > 0 && [html("h3", {}, words.system.supplyHead), html("p", {}, words.system.supplyHow), currents],
      levels
    );
  }
};
