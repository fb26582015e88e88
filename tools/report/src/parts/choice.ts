// The reader's choices, one set for the whole page. Every view follows them.

export interface Choice {
  preset: number;
  /** Selected seats and channels, in rising order. */
  seats: number[];
  channels: number[];
  /** 0 left, 1 right, 2 both. */
  ear: number;
  /** Signal: 0 left input only, 1 right input only, 2 both inputs (mono). */
  signal: number;
  unit: "mm" | "in";
  /** Ends of the sound path that the cabin section shows. */
  driver: number;
  seat: number;
}

type Key = keyof Choice;

export const BOTH_EARS = 2;

interface Follower {
  keys: Key[];
  follow: () => void;
  place: Element | null;
}

/** Views this close to the window are drawn at once, px. */
const NEAR = 100;

function inSight(place: Element): boolean {
  const {top, bottom} = place.getBoundingClientRect();
  return bottom > -NEAR && top < innerHeight + NEAR;
}

export class Chooser {
  private followers: Follower[] = [];
  private outdated = new Set<Follower>();

  constructor(private choice: Choice) {}

  get now(): Readonly<Choice> {
    return this.choice;
  }

  /** Views in sight are redrawn at once, the others after the browser has drawn those. */
  set(change: Partial<Choice>): void {
    const changed = (Object.keys(change) as Key[]).filter((key) => String(this.choice[key]) !== String(change[key]));
    if (changed.length === 0) return;
    this.choice = {...this.choice, ...change};
    const affected = this.followers.filter(({keys}) => keys.some((key) => changed.includes(key)));
    for (const one of affected) {
      if (one.place && !inSight(one.place)) this.outdated.add(one);
      else one.follow();
    }
    if (this.outdated.size > 0) requestAnimationFrame(() => setTimeout(() => this.catchUp(), 0));
  }

  private catchUp(): void {
    const [next] = this.outdated;
    if (!next) return;
    this.outdated.delete(next);
    next.follow();
    if (this.outdated.size > 0) setTimeout(() => this.catchUp(), 0);
  }

  /** Redraws every outdated view now, as before printing. */
  settle(): void {
    for (const one of this.outdated) one.follow();
    this.outdated.clear();
  }

  /** Calls `follow` whenever one of `keys` changes; `place` is the element that it draws into. */
  on(keys: Key[], follow: () => void, place: Element | null = null): void {
    this.followers.push({keys, follow, place});
  }
}
