import { once } from 'node:events';
import type { Multipart } from '@fastify/multipart';
import type { FastifyRequest } from 'fastify';
import type { Outcome, Problem } from '../../core/problems.ts';
import { photoBytesMost, photosMost } from '../../core/work-details.ts';
import { PageError } from '../plugins/errors.ts';

/** A form with photos: each went to `keep` as it came, so that one at a time is in memory. */
export interface PhotoForm {
  caption: string;
  /** Every other field as typed. */
  fields: Record<string, string>;
  /** Names that `keep` gave. */
  fileNames: string[];
  problems: Problem[];
}

const captionMost = 300;

/** Reads a form of photos sent as multipart (RFC 7578). Throws PageError when it was sent otherwise. */
export async function readPhotos(
  request: FastifyRequest,
  keep: (name: string, bytes: Uint8Array) => Outcome<string>,
): Promise<PhotoForm> {
  if (!request.isMultipart()) throw new PageError(415, 'Send the form as it is on the page.');
  const form: PhotoForm = { caption: '', fields: {}, fileNames: [], problems: [] };
  const say = (code: string, message: string) => {
    form.problems.push({ code, field: 'photos', message });
  };
  const limits = { files: 50, fields: 10, parts: 60, fileSize: photoBytesMost + 1 };
  // A photo that is too large is a sentence beside the form, not an end of it.
  const options = { limits, throwFileSizeLimit: false };
  let count = 0;
  const takePart = async (part: Multipart): Promise<void> => {
    if (part.type === 'field') {
      if (part.fieldname === 'caption') form.caption = String(part.value).trim();
      else if (part.fieldname !== '__proto__')
        form.fields[part.fieldname] = String(part.value).trim();
      return;
    }
    const name = part.filename?.slice(0, 80) ?? '';
    if (name !== '') count += 1;
    if (name === '' || count > photosMost) {
      part.file.resume();
      await once(part.file, 'end');
      return;
    }
    // One that ends too early is told once the next part is asked for.
    const bytes = await part.toBuffer().catch(() => new Uint8Array());
    if (bytes.length === 0) return;
    if (bytes.length > photoBytesMost) {
      say('photo-large', `${name}: a photo may have at most 15 megabytes.`);
      return;
    }
    const kept = keep(name, bytes);
    if (kept.ok) form.fileNames.push(kept.value);
    else form.problems.push(...kept.problems);
  };
  const parts = request.parts(options);
  for (;;) {
    const next = await parts.next().catch(() => null);
    if (next?.done) break;
    if (next) await takePart(next.value);
    else {
      say(
        'photos-cut',
        'Photos: the upload did not arrive whole. Choose them and send them again.',
      );
      break;
    }
  }
  if (count > photosMost) say('photos-many', `Photos: an entry holds at most ${photosMost}.`);
  if (form.caption.length > captionMost)
    form.problems.push({
      code: 'maxLength',
      field: 'caption',
      message: `What they show: write at most ${captionMost} characters.`,
    });
  if (form.problems.length === 0 && form.fileNames.length === 0)
    say('photos-none', 'Photos: choose at least one.');
  return form;
}
