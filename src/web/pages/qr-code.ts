import { encode } from 'uqr';

/** A QR code as one path of unit squares with its quiet zone inside, for an SVG `viewBox` of `size`. */
export interface QrCode {
  size: number;
  path: string;
}

/** Modules that must stay white around a code (ISO/IEC 18004 asks for four). */
const quietModules = 4;

/** The code of a text, error correction M: it bears some dirt on a truck card. */
export function qrCode(text: string): QrCode {
  const { size, data } = encode(text, { ecc: 'M', border: quietModules });
  const squares = data.flatMap((row, y) =>
    row.flatMap((isDark, x) => (isDark ? [`M${x} ${y}h1v1h-1z`] : [])),
  );
  return { size, path: squares.join('') };
}
