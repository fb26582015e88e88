// The answer first: what was asked, whether the plan holds, what to look at.
import {html, own, table} from "../parts/elements";
import {marginText} from "../parts/units";
import type {Page, Section} from "../parts/page";
import {CARE, Check, Model} from "../file/model";
import {findings} from "./findings";
import {fill, words} from "../words";

const RANK: Record<string, number> = {violated: 0, caution: 1, met: 2};

/** Told by shape and word, not by colour alone. */
export function verdict(outcome: string): HTMLElement {
  const known = words.answer.outcomes[outcome as keyof typeof words.answer.outcomes];
  return html("span", {class: `verdict ${known ? outcome : ""}`}, known ?? outcome);
}

function asked({model}: Page): HTMLElement | null {
  const {listen, level, keep} = model.scene.brief;
  const entries = [
    listen.length ? [words.answer.listen, listen.join(", ")] : null,
    level ? [words.answer.level, level] : null,
    keep.length ? [words.answer.keep, keep.join(", ")] : null
  ].filter((entry): entry is string[] => entry !== null);
  return entries.length ? html("dl", {class: "asked"}, entries.map(([term, text]) => html("div", {}, html("dt", {}, term), html("dd", {}, own(text))))) : null;
}

/** Rules by which a driver fits its hole; without its opening there is no telling. */
const FIT = ["hole", "mounting depth"];

function headline(model: Model, checks: Check[]): HTMLElement | null {
  const count = (outcome: string) => checks.filter((check) => check.outcome === outcome).length;
  const violated = count("violated"), caution = count("caution");
  const untold = model.drivers.filter((driver) => !FIT.every((rule) => checks.some((check) => check.rule === rule && check.subject === driver))).length;
  if (checks.length + untold === 0) return null;
  const outcome = violated ? "violated" : caution ? "caution" : untold ? "unknown" : "met";
  const sentence = checks.length ? fill(words.answer.headlines[outcome], {violated, caution, all: checks.length}) : "";
  const fit = untold ? fill(words.answer.fitUnknown, {count: untold, all: model.drivers.length}) : "";
  return html("p", {class: `headline ${outcome}`}, verdict(outcome), " ", [sentence, fit].filter(Boolean).join(" "));
}

export const answerSection: Section = {
  id: "answer",
  title: words.sections.answer,
  make(page) {
    const {model, chooser} = page;
    const look = html("ol", {class: "findings"}), rules = html("div", {});
    const lookAt = html("div", {class: "look-at"}, html("h3", {}, words.answer.lookAt), look);
    // What to take care of is no rule with an outcome, though it stands among them.
    const care = model.checks.filter(({rule}) => rule === CARE);
    const judged = model.checks.filter(({rule}) => rule !== CARE);
    const sorted = [...judged].sort((a, b) => (RANK[a.outcome] ?? 0) - (RANK[b.outcome] ?? 0));

    function lookFirst(): void {
      const {preset, unit} = chooser.now;
      look.replaceChildren(
        ...findings(model, preset, unit).map(({head, sentence, section}) =>
          html("li", {}, html("strong", {}, head), " ", own(sentence), " ", html("a", {href: `#${section}`}, words.answer.show))
        )
      );
      lookAt.hidden = look.childElementCount === 0;
    }

    function showRules(): void {
      const {unit} = chooser.now;
      const rows = (checks: Check[]) =>
        checks.map((check) => [own(check.subject), own(check.rule), verdict(check.outcome), check.margin_m === null ? check.other_margin : marginText(check.margin_m, unit), own(check.sentence)]);
      const columns = [{head: words.answer.subject}, {head: words.answer.rule}, {head: words.answer.outcome}, {head: words.answer.margin, right: true}, {head: words.answer.said}];
      const pressing = sorted.filter((check) => check.outcome !== "met"), met = sorted.filter((check) => check.outcome === "met");
      rules.replaceChildren(
        ...(pressing.length ? [table(words.answer.pressing, columns, rows(pressing))] : []),
        ...(met.length ? [html("details", {}, html("summary", {}, fill(words.answer.met, {count: met.length})), table(words.answer.metCaption, columns, rows(met)))] : [])
      );
    }

    chooser.on(["preset", "unit"], lookFirst, lookAt);
    chooser.on(["unit"], showRules, rules);
    showRules();
    page.later(lookFirst);
    const question = asked(page);
    return html(
      "div",
      {},
      question,
      headline(model, judged),
      lookAt,
      judged.length > 0 && html("h3", {}, words.answer.rules),
      rules,
      care.length > 0 && [html("h3", {}, words.answer.care), html("ul", {class: "warnings"}, care.map(({sentence}) => html("li", {}, own(sentence))))],
      model.warnings.length > 0 && [html("h3", {}, words.answer.mind), html("ul", {class: "warnings"}, model.warnings.map((warning) => html("li", {}, own(warning))))]
    );
  }
};
