declare module "fft.js" {
  export default class FFT {
    constructor(size: number);
    createComplexArray(): number[];
    inverseTransform(output: number[], input: number[]): void;
  }
}
