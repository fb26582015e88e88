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

interface Follower {
  keys: Key[];
  follow: () => void;
  place: Element | null;
}

/** Views this near to the window are drawn at once, px. */
const NEAR = 100;

function inSight(place: Element): boolean {
  const {top, bottom} = place.getBoundingClientRect();
  return bottom > -NEAR && top < innerHeight + NEAR;
}

export class Chooser {
  private followers: Follower[] = [];
  private behind = new Set<Follower>();

  constructor(private choice: Choice) {}

  get now(): Readonly<Choice> {
    return this.choice;
  }

  /** What is in sight follows at once, the rest when the browser has drawn that. */
  set(change: Partial<Choice>): void {
    const changed = (Object.keys(change) as Key[]).filter((key) => String(this.choice[key]) !== String(change[key]));
    if (changed.length === 0) return;
    this.choice = {...this.choice, ...change};
    const concerned = this.followers.filter(({keys}) => keys.some((key) => changed.includes(key)));
    for (const one of concerned) {
      if (one.place && !inSight(one.place)) this.behind.add(one);
      else one.follow();
    }
    if (this.behind.size > 0) requestAnimationFrame(() => setTimeout(() => this.catchUp(), 0));
  }

  private catchUp(): void {
    const [next] = this.behind;
    if (!next) return;
    this.behind.delete(next);
    next.follow();
    if (this.behind.size > 0) setTimeout(() => this.catchUp(), 0);
  }

  /** Lets every view follow now, as before printing. */
  settle(): void {
    for (const one of this.behind) one.follow();
    this.behind.clear();
  }

  /** Calls `follow` whenever one of `keys` has changed; `place` is where it draws. */
  on(keys: Key[], follow: () => void, place: Element | null = null): void {
    this.followers.push({keys, follow, place});
  }
}
