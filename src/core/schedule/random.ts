/** Seeded random integers, the same on every engine. */
export interface Random {
  /** Uniform in 0 … 2^32 - 1. */
  bits(): number;
  /** Uniform in 0 … limit - 1. */
  below(limit: number): number;
}

/** `sfc32` of Chris Doty-Humphrey (PractRand, public domain): 128 bits of state, 32-bit sums and shifts. */
export function createRandom(seed: number): Random {
  let [a, b, c, counter] = [0x9e3779b9, 0x243f6a88, seed | 0, 1];
  const bits = (): number => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + sum) | 0;
    return sum >>> 0;
  };
  for (let warmUp = 0; warmUp < 15; warmUp++) bits();
  return { bits, below: (limit) => Math.floor((bits() / 0x1_0000_0000) * limit) };
}

/**
 * Random multiple of a simulated temperature, close to the exponential law with mean 1: `-log2` of a uniform
 * number, with its fraction taken as straight between powers of two, times ln 2. Sums, shifts and one
 * division, so that every engine gives the same number.
 */
export function exponential(random: Random): number {
  const drawn = random.bits();
  const zeros = Math.clz32(drawn);
  if (zeros >= 31) return 31 * Math.LN2;
  const mantissa = (drawn << (zeros + 1)) >>> 0;
  return (zeros + 1 - mantissa / 0x1_0000_0000) * Math.LN2;
}
