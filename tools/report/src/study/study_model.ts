// The parts of a study file that the page shows. Where a variant has no value the file holds NaN.
import type {Numbers, ResultsFile} from "../file/results_file";

export class StudyModel {
  readonly title: string;
  readonly created: string;
  readonly programVersion: string;
  readonly seats: string[];
  readonly measures: string[];
  readonly units: string[];
  readonly axes: string[];
  readonly labels: string[];
  /** Indices of the leading variants, the best first, and of the scene as drawn. */
  readonly leading: number[];
  readonly leadingLabels: string[];
  /** Number of Monte Carlo samples. */
  readonly samples: number;
  readonly frequency: Float64Array;

  constructor(readonly file: ResultsFile) {
    this.title = file.attribute("title");
    this.created = file.attribute("created");
    this.programVersion = file.attribute("program_version");
    this.seats = file.texts("/seat");
    this.measures = file.texts("/measure");
    this.units = file.texts("/measures/unit");
    this.axes = file.texts("/axis");
    this.labels = file.texts("/variants/label");
    this.leading = Array.from(this.numbers("/leading/variant", [null])?.data ?? []);
    this.leadingLabels = file.texts("/leading/label");
    this.samples = this.numbers("/draws/count", [])?.data[0] ?? 0;
    this.frequency = Float64Array.from(this.numbers("/frequency", [null])?.data ?? []);
  }

  numbers(path: string, extents: (number | null)[]): Numbers | null {
    return this.file.numbers(path, extents, undefined, true);
  }

  perVariant = (name: string) => this.numbers(`/variants/${name}`, [this.labels.length])?.data ?? null;
  /** Value of a measure for a variant, in its unit. */
  value(variant: number, measure: number): number {
    return this.numbers("/variants/value", [this.labels.length, this.measures.length])?.data[variant * this.measures.length + measure] ?? NaN;
  }

  /** Range of a measure over the samples for a leading variant: 10th, 50th and 90th percentile; null without samples. */
  sampleRange(leading: number, measure: number): {low: number; median: number; high: number} | null {
    const at = leading * this.measures.length + measure, extents = [this.leading.length, this.measures.length];
    const [low, median, high] = ["low", "median", "high"].map((name) => this.numbers(`/draws/value_${name}`, extents)?.data[at]);
    return low === undefined || median === undefined || high === undefined ? null : {low, median, high};
  }

  perLeading = (path: string) => this.numbers(path, [this.leading.length])?.data ?? null;
}
