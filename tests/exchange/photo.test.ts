import { crc32, deflateSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cleanPhoto } from '../../src/exchange/photo.ts';

// Files are made here by hand after their standards: JPEG ITU-T T.81, Exif 2.32, PNG third edition, WebP RFC 9649. The sums of
// PNG chunks are those of zlib, a reference of its own.

const secret = 'GPS 37.2000N 92.1000W by Hand Held';
const ascii = (text: string) => Buffer.from(text, 'latin1');
const be16 = (value: number) => Buffer.from([value >> 8, value & 255]);

/** A TIFF block with an orientation and the secret, in either byte order. */
function exif(orientation: number, little = false): Buffer {
  const two = (value: number) => (little ? be16(value).reverse() : be16(value));
  const four = (value: number) => {
    const bytes = Buffer.alloc(4);
    if (little) bytes.writeUInt32LE(value);
    else bytes.writeUInt32BE(value);
    return bytes;
  };
  const entry = (tag: number, type: number, count: number, value: Buffer) =>
    Buffer.concat([two(tag), two(type), four(count), value]);
  return Buffer.concat([
    ascii(little ? 'II' : 'MM'),
    two(42),
    four(8),
    two(2),
    entry(0x010e, 2, secret.length, four(38)),
    entry(0x0112, 3, 1, Buffer.concat([two(orientation), two(0)])),
    four(0),
    ascii(secret),
  ]);
}

const segment = (marker: number, data: Buffer) =>
  Buffer.concat([Buffer.from([0xff, marker]), be16(data.length + 2), data]);
const jfif = segment(
  0xe0,
  Buffer.concat([ascii('JFIF\0'), Buffer.from([1, 1, 0, 0, 1, 0, 1, 0, 0])]),
);
const adobe = segment(0xee, Buffer.concat([ascii('Adobe'), Buffer.from([0, 100, 0, 0, 0, 0, 1])]));
const quantities = segment(0xdb, Buffer.alloc(65, 1));
const frame = segment(0xc2, Buffer.from([8, 0, 1, 0, 1, 1, 1, 0x11, 0]));
const scan = Buffer.concat([
  segment(0xda, Buffer.from([1, 1, 0, 0, 0, 0])),
  // Stuffing and a restart inside the coded bytes.
  Buffer.from([0x12, 0xff, 0x00, 0x34, 0xff, 0xd0, 0x56]),
]);
const end = Buffer.from([0xff, 0xd9]);
const start = Buffer.from([0xff, 0xd8]);

const exifSegment = (orientation: number, little = false) =>
  segment(0xe1, Buffer.concat([ascii('Exif\0\0'), exif(orientation, little)]));
const hostile = [
  segment(0xe1, ascii(`http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>${secret}</x:xmpmeta>`)),
  segment(0xe2, ascii(`ICC_PROFILE\0\x01\x01${secret}`)),
  segment(0xe0, ascii(`JFXX\0\x10${secret}`)),
  segment(0xed, ascii(`Photoshop 3.0\0${secret}`)),
  segment(0xfe, ascii(secret)),
];

function bytesOf(name: string, file: Buffer): Buffer {
  const cleaned = cleanPhoto(name, file);
  if (!cleaned.ok) throw new Error(cleaned.problems[0]?.message);
  return Buffer.from(cleaned.value.bytes);
}

describe('JPEG', () => {
  it('keeps what draws the picture, to the byte, and nothing else', () => {
    const file = Buffer.concat([
      ...[start, jfif, exifSegment(1), ...hostile, adobe, quantities, frame, scan],
      // A second scan of a progressive picture, with a comment between.
      ...[segment(0xfe, ascii(secret)), scan, end],
      // Pictures and films that phones hang on.
      ascii(`ftypmp42${secret}`),
    ]);
    const clean = Buffer.concat([start, jfif, adobe, quantities, frame, scan, scan, end]);
    expect(bytesOf('a.jpg', file).equals(clean)).toBe(true);
  });

  it.each([
    [6, false],
    [3, true],
    [8, true],
  ])('keeps the orientation %i and nothing else of its Exif', (orientation, little) => {
    const file = Buffer.concat([start, jfif, exifSegment(orientation, little), frame, scan, end]);
    const clean = bytesOf('a.jpg', file);
    expect(clean.includes(ascii(secret))).toBe(false);
    const at = clean.indexOf(ascii('Exif\0\0'));
    expect(at).toBeGreaterThan(0);
    // Tag 0x0112, type 3 (SHORT), one value, big-endian: Exif 2.32, 4.6.4.
    const entry = Buffer.from([0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0]);
    expect(clean.includes(entry)).toBe(true);
    expect(bytesOf('again.jpg', clean).equals(clean)).toBe(true);
  });

  it.each([
    ['cut off in the scan', Buffer.concat([start, jfif, frame, scan])],
    ['cut off in a segment', Buffer.concat([start, jfif, frame.subarray(0, 6)])],
    ['no picture', Buffer.concat([start, jfif, end])],
    ['no marker', Buffer.concat([start, Buffer.from([0xff, 0xe0, 0, 2, 1, 2, 3, 4])])],
  ])('refuses: %s', (_name, file) => {
    const cleaned = cleanPhoto('line.jpg', file);
    expect(cleaned.ok ? [] : cleaned.problems).toMatchObject([
      { code: 'photo-broken', field: 'photos' },
    ]);
  });
});

const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
function chunk(name: string, data: Buffer): Buffer {
  const named = Buffer.concat([ascii(name), data]);
  const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(data.length);
  sum.writeUInt32BE(crc32(named));
  return Buffer.concat([length, named, sum]);
}
const head = chunk('IHDR', Buffer.from([0, 0, 0, 1, 0, 0, 0, 1, 8, 2, 0, 0, 0]));
const pixels = chunk('IDAT', deflateSync(Buffer.from([0, 10, 20, 30])));
const last = chunk('IEND', Buffer.alloc(0));
const pngTexts = [
  chunk('tEXt', ascii(`Comment\0${secret}`)),
  chunk('iTXt', ascii(`XML:com.adobe.xmp\0\0\0\0\0${secret}`)),
  chunk('iCCP', ascii(`x\0\0${secret}`)),
  chunk('tIME', Buffer.from([7, 234, 11, 25, 1, 2, 3])),
];

describe('PNG', () => {
  it('keeps the chunks that draw the picture', () => {
    const file = [
      signature,
      head,
      ...pngTexts,
      chunk('eXIf', exif(1)),
      pixels,
      last,
      ascii(secret),
    ];
    const clean = Buffer.concat([signature, head, pixels, last]);
    expect(bytesOf('a.png', Buffer.concat(file)).equals(clean)).toBe(true);
  });

  it('keeps the orientation, with a sum that zlib agrees with', () => {
    const clean = bytesOf(
      'a.png',
      Buffer.concat([signature, head, chunk('eXIf', exif(6, true)), pixels, last]),
    );
    expect(clean.includes(ascii(secret))).toBe(false);
    const at = clean.indexOf(ascii('eXIf'));
    const length = clean.readUInt32BE(at - 4);
    expect(clean.readUInt32BE(at + 4 + length)).toBe(crc32(clean.subarray(at, at + 4 + length)));
    expect(bytesOf('again.png', clean).equals(clean)).toBe(true);
  });

  it.each([
    [
      'a wrong sum',
      Buffer.concat([
        signature,
        head,
        Buffer.concat([pixels.subarray(0, -1), Buffer.from([1])]),
        last,
      ]),
    ],
    ['no end', Buffer.concat([signature, head, pixels])],
    ['no picture', Buffer.concat([signature, head, last])],
    ['another chunk first', Buffer.concat([signature, pixels, head, last])],
  ])('refuses: %s', (_name, file) => {
    expect(cleanPhoto('a.png', file)).toMatchObject({ ok: false });
  });
});

function riff(...chunks: [string, Buffer][]): Buffer {
  const body = Buffer.concat(
    chunks.map(([name, data]) => {
      const length = Buffer.alloc(4);
      length.writeUInt32LE(data.length);
      return Buffer.concat([ascii(name), length, data, Buffer.alloc(data.length % 2)]);
    }),
  );
  const size = Buffer.alloc(4);
  size.writeUInt32LE(body.length + 4);
  return Buffer.concat([ascii('RIFF'), size, ascii('WEBP'), body]);
}
/** A VP8X head with the bits of profile, alpha, Exif and XMP set. */
const extended = (bits: number) => Buffer.from([bits, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
const picture = Buffer.from([0x2f, 1, 2, 3, 4]);

describe('WebP', () => {
  it('drops profile, Exif, XMP and unknown chunks, and clears their bits', () => {
    const file = riff(
      ['VP8X', extended(0x20 | 0x10 | 0x08 | 0x04)],
      ['ICCP', ascii(secret)],
      ['VP8L', picture],
      ['EXIF', exif(1)],
      ['XMP ', ascii(secret)],
      ['ZZZZ', ascii(secret)],
    );
    const clean = riff(['VP8X', extended(0x10)], ['VP8L', picture]);
    expect(bytesOf('a.webp', Buffer.concat([file, ascii(secret)])).equals(clean)).toBe(true);
  });

  it('keeps the orientation', () => {
    const clean = bytesOf(
      'a.webp',
      riff(['VP8X', extended(0x08)], ['VP8L', picture], ['EXIF', exif(6)]),
    );
    expect(clean.includes(ascii(secret))).toBe(false);
    expect(clean[20]).toBe(0x08);
    expect(clean.includes(Buffer.from([0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6]))).toBe(true);
    expect(bytesOf('again.webp', clean).equals(clean)).toBe(true);
  });

  it('refuses one that did not arrive whole', () => {
    const file = riff(['VP8L', picture]);
    expect(cleanPhoto('a.webp', file.subarray(0, -1))).toMatchObject({ ok: false });
    expect(cleanPhoto('a.webp', riff(['EXIF', exif(1)]))).toMatchObject({ ok: false });
  });
});

describe('anything else', () => {
  it.each(['GIF89a', '<svg xmlns="http://www.w3.org/2000/svg"/>', '', 'PK\x03\x04', '<html>'])(
    'is refused by its content, whatever its name: %j',
    (text) => {
      const cleaned = cleanPhoto('roost.jpg', ascii(text));
      expect(cleaned.ok ? '' : cleaned.problems[0]?.message).toBe(
        'roost.jpg: choose a photo in the format JPEG, PNG or WebP.',
      );
    },
  );

  it('never throws on bytes that only begin like a photo, and never lets a comment through', () => {
    const starts = [
      Buffer.concat([start, Buffer.from([0xff])]),
      signature,
      ascii('RIFF\x40\0\0\0WEBP'),
    ];
    fc.assert(
      fc.property(fc.constantFrom(...starts), fc.uint8Array({ maxLength: 300 }), (begin, rest) => {
        const file = Buffer.concat([begin, rest]);
        const cleaned = cleanPhoto('x', file);
        if (cleaned.ok) expect(cleaned.value.bytes.length).toBeLessThanOrEqual(file.length + 40);
      }),
      { numRuns: 2000 },
    );
  });
});
