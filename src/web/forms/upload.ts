import type { FastifyRequest } from 'fastify';
import { PageError } from '../plugins/errors.ts';

/** A form with a file and a text area: what was chosen or pasted, and its other fields. */
export interface Upload {
  fields: Record<string, string>;
  /** Blank where the text was pasted. */
  fileName: string;
  /** Text of the file where one was chosen, else as pasted. */
  text: string;
}

/** Answers to a table of old work are fields of their own. */
const fieldsMost = 2000;

/** Reads a form sent as multipart (RFC 7578). Throws PageError when it was sent otherwise. */
export async function readUpload(request: FastifyRequest): Promise<Upload> {
  if (!request.isMultipart()) throw new PageError(415, 'Send the form as it is on the page.');
  const upload: Upload = { fields: {}, fileName: '', text: '' };
  for await (const part of request.parts({ limits: { fields: fieldsMost, parts: fieldsMost } })) {
    if (part.type === 'file') {
      const text = (await part.toBuffer()).toString('utf8');
      if (text !== '') Object.assign(upload, { fileName: part.filename, text });
    } else if (part.fieldname !== '__proto__') upload.fields[part.fieldname] = String(part.value);
  }
  if (upload.text === '') upload.text = upload.fields['text'] ?? '';
  return upload;
}
