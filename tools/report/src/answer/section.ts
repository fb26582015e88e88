// The summary: the brief, whether every check passes, what to look at first.
import {html, own, table} from "../parts/elements";
import {marginText} from "../parts/units";
import type {Page, Section} from "../parts/page";
import {Check, Model, SAFETY} from "../file/model";
import {findings} from "./findings";
import {fill, words} from "../words";

const RANK: Record<string, number> = {violated: 0, caution: 1, met: 2};

/** An outcome shown by shape and word, not by colour alone. */
export function verdict(outcome: string): HTMLElement {
  const known = words.answer.outcomes[outcome as keyof typeof words.answer.outcomes];
  return html("span", {class: `verdict ${known ? outcome : ""}`}, known ?? outcome);
}

function brief({model}: Page): HTMLElement | null {
  const {listen, level, keep} = model.scene.brief;
  const entries = [
    listen.length ? [words.answer.listen, listen.join(", ")] : null,
    level ? [words.answer.level, level] : null,
    keep.length ? [words.answer.keep, keep.join(", ")] : null
  ].filter((entry): entry is string[] => entry !== null);
  return entries.length ? html("dl", {class: "brief"}, entries.map(([term, text]) => html("div", {}, html("dt", {}, term), html("dd", {}, own(text))))) : null;
}

/** Checks that decide whether a driver fits its opening; they are missing where the scene does not give the opening. */
const FIT = ["hole", "mounting depth"];

function headline(model: Model, checks: Check[]): HTMLElement | null {
  const count = (outcome: string) => checks.filter((check) => check.outcome === outcome).length;
  const violated = count("violated"), caution = count("caution");
  const unchecked = model.drivers.filter((driver) => !FIT.every((rule) => checks.some((check) => check.rule === rule && check.subject === driver))).length;
  if (checks.length + unchecked === 0) return null;
  const outcome = violated ? "violated" : caution ? "caution" : unchecked ? "unknown" : "met";
  const sentence = checks.length ? fill(words.answer.headlines[outcome], {violated, caution, all: checks.length}) : "";
  const fit = unchecked ? fill(words.answer.fitUnknown, {count: unchecked, all: model.drivers.length}) : "";
  return html("p", {class: `headline ${outcome}`}, verdict(outcome), " ", [sentence, fit].filter(Boolean).join(" "));
}

export const answerSection: Section = {
  id: "answer",
  title: words.sections.answer,
  make(page) {
    const {model, chooser} = page;
    const list = html("ol", {class: "findings"}), checks = html("div", {});
    const lookAt = html("div", {class: "look-at"}, html("h3", {}, words.answer.lookAt), list);
    // Safety cautions are in the list of checks but have no outcome.
    const safety = model.checks.filter(({rule}) => rule === SAFETY);
    const judged = model.checks.filter(({rule}) => rule !== SAFETY);
    const sorted = [...judged].sort((a, b) => (RANK[a.outcome] ?? 0) - (RANK[b.outcome] ?? 0));

    function showFindings(): void {
      const {preset, unit} = chooser.now;
      list.replaceChildren(
        ...findings(model, preset, unit).map(({head, sentence, section}) =>
          html("li", {}, html("strong", {}, head), " ", own(sentence), " ", html("a", {href: `#${section}`}, words.answer.show))
        )
      );
      lookAt.hidden = list.childElementCount === 0;
    }

    function showChecks(): void {
      const {unit} = chooser.now;
      const rows = (list: Check[]) =>
        list.map((check) => [own(check.subject), own(check.rule), verdict(check.outcome), check.margin_m === null ? check.other_margin : marginText(check.margin_m, unit), own(check.sentence)]);
      const columns = [{head: words.answer.subject}, {head: words.answer.check}, {head: words.answer.outcome}, {head: words.answer.margin, right: true}, {head: words.answer.details}];
      const open = sorted.filter((check) => check.outcome !== "met"), passed = sorted.filter((check) => check.outcome === "met");
      checks.replaceChildren(
        ...(open.length ? [table(words.answer.openChecks, columns, rows(open))] : []),
        ...(passed.length ? [html("details", {}, html("summary", {}, fill(words.answer.passed, {count: passed.length})), table(words.answer.passedCaption, columns, rows(passed)))] : [])
      );
    }

    chooser.on(["preset", "unit"], showFindings, lookAt);
    chooser.on(["unit"], showChecks, checks);
    showChecks();
    page.later(showFindings);
    return html(
      "div",
      {},
      brief(page),
      headline(model, judged),
      lookAt,
      judged.length > 0 && html("h3", {}, words.answer.checks),
      checks,
      safety.length > 0 && [html("h3", {}, words.answer.safety), html("ul", {class: "warnings"}, safety.map(({sentence}) => html("li", {}, own(sentence))))],
      model.warnings.length > 0 && [html("h3", {}, words.answer.caveats), html("ul", {class: "warnings"}, model.warnings.map((warning) => html("li", {}, own(warning))))]
    );
  }
};
