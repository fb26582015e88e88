// Colour and dash of each channel: left and right share a colour and right is dashed, so that they differ without colour too.

export interface Look {
  colour: string;
  dash?: string;
}

const COLOURS = 8;
const MIRROR: Record<string, string> = {left: "right", right: "left"};

/** The name without left and right: both channels of a pair have the same stem. */
export const stemOf = (name: string) => name.split("_").filter((part) => !(part in MIRROR)).join("_");

export const mirroredName = (name: string) => name.split("_").map((part) => MIRROR[part] ?? part).join("_");

export function looks(names: string[]): Look[] {
  const stems: string[] = [];
  return names.map((name) => {
    const paired = names.includes(mirroredName(name)) && mirroredName(name) !== name;
    const key = paired ? `${stemOf(name)} pair` : name;
    let at = stems.indexOf(key);
    if (at < 0) at = stems.push(key) - 1;
    const colour = `--line-${(at % COLOURS) + 1}`;
    if (paired && name.split("_").includes("right")) return {colour, dash: "6 3"};
    return at >= COLOURS ? {colour, dash: "1.5 3"} : {colour};
  });
}
