// Points in space, m.
export type Point = [number, number, number];

export const minus = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const plus = (a: Point, b: Point, share = 1): Point => [a[0] + share * b[0], a[1] + share * b[1], a[2] + share * b[2]];
export const dot = (a: Point, b: Point) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Point, b: Point): Point => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
export const length = (a: Point) => Math.sqrt(dot(a, a));
export const distance = (a: Point, b: Point) => length(minus(a, b));
