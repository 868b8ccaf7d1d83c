import { parse } from 'node-html-parser';
import { buildApp } from '../../src/web/app.ts';
import type { Deps } from '../../src/web/deps.ts';

export interface UploadPart {
  name: string;
  value: string;
  fileName?: string;
}

/** Sends a form with a file as browsers send it (RFC 7578). */
export async function upload(deps: Deps, url: string, parts: UploadPart[]) {
  const boundary = 'part-9f1c';
  const body = parts.map(({ name, value, fileName }) => {
    const file = fileName === undefined ? '' : `; filename="${fileName}"`;
    const type = fileName === undefined ? '' : 'Content-Type: application/octet-stream\r\n';
    return `--${boundary}\r\nContent-Disposition: form-data; name="${name}"${file}\r\n${type}\r\n${value}\r\n`;
  });
  const answer = await buildApp(deps).inject({
    method: 'POST',
    url,
    headers: { host: 'localhost', 'content-type': `multipart/form-data; boundary=${boundary}` },
    payload: `${body.join('')}--${boundary}--\r\n`,
  });
  return { status: answer.statusCode, root: parse(answer.body) };
}
