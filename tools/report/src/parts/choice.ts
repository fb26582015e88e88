// What is chosen, once for the whole page. Every view follows.

export interface Choice {
  preset: number;
  /** Chosen seats and channels, rising. */
  seats: number[];
  channels: number[];
  /** 0 left, 1 right, 2 both. */
  ear: number;
  /** What is played: 0 left only, 1 right only, 2 both alike. */
  signal: number;
  unit: "mm" | "in";
  /** The way of sound that the cabin shows. */
  driver: number;
  seat: number;
}

type Key = keyof Choice;

export const BOTH_EARS = 2;

export class Chooser {
  private followers: {keys: Key[]; follow: () => void}[] = [];

  constructor(private choice: Choice) {}

  get now(): Readonly<Choice> {
    return this.choice;
  }

  set(change: Partial<Choice>): void {
    const changed = (Object.keys(change) as Key[]).filter((key) => String(this.choice[key]) !== String(change[key]));
    if (changed.length === 0) return;
    this.choice = {...this.choice, ...change};
    for (const {keys, follow} of [...this.followers]) if (keys.some((key) => changed.includes(key))) follow();
  }

  /** Calls `follow` whenever one of `keys` has changed. */
  on(keys: Key[], follow: () => void): void {
    this.followers.push({keys, follow});
  }
}
