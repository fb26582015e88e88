// The sections of a study's file.
import {html, own, table} from "../parts/elements";
import {comparison} from "./comparison";
import {placementMap} from "./placement_map";
import {ranking} from "./ranking";
import type {StudyModel} from "./study_model";
import {fill, words} from "../words";

export interface StudySection {
  id: string;
  title: string;
  make(study: StudyModel): HTMLElement | null;
}

function verdict(study: StudyModel): HTMLElement | null {
  const rank = study.perVariant("rank"), best = rank ? Array.from(rank).indexOf(0) : -1;
  if (best < 0) return null;
  const variant = study.labels[best] || words.study.asDrawn, lead = study.leading.indexOf(best);
  const times = lead < 0 ? undefined : study.perLeading("/draws/times_best")?.[lead];
  const sentence = study.samples > 0 && times !== undefined ? fill(words.study.leadsSamples, {variant, share: Math.round((100 * times) / study.samples), samples: study.samples}) : fill(words.study.leads, {variant});
  return html("p", {class: "headline"}, own(sentence));
}

function impossible(study: StudyModel): HTMLElement | null {
  const why = study.file.texts("/impossible/why");
  const variant = study.numbers("/impossible/variant", [why.length])?.data;
  if (why.length === 0 || !variant) return null;
  return table(words.study.impossibleCaption, [{head: words.study.variant}, {head: words.study.reason}], why.map((reason, row) => [own(study.labels[variant[row]] ?? String(variant[row])), own(reason)]));
}

function sources(study: StudyModel): HTMLElement | null {
  const texts = [[words.study.source, study.file.text("/study/source")], [words.study.scene, study.file.text("/study/scene")]].filter(([, text]) => text);
  if (texts.length === 0) return null;
  return html("div", {}, texts.map(([head, text]) => html("details", {}, html("summary", {}, head), html("pre", {class: "source", tabindex: 0, dir: "ltr"}, text))));
}

export const STUDY_SECTIONS: StudySection[] = [
  {id: "ranking", title: words.study.sections.ranking, make: (study) => (study.labels.length ? html("div", {}, verdict(study), ranking(study)) : null)},
  {id: "comparison", title: words.study.sections.comparison, make: comparison},
  {id: "placement", title: words.study.sections.placement, make: placementMap},
  {id: "impossible", title: words.study.sections.impossible, make: impossible},
  {id: "how", title: words.study.sections.how, make: sources}
];
