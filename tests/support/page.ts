import type { FastifyInstance } from 'fastify';
import { type HTMLElement, parse } from 'node-html-parser';

/** An answer with its page as a tree; `text` has its white space pressed together. */
export interface SeenPage {
  status: number;
  headers: Record<string, unknown>;
  root: HTMLElement;
  text: string;
}

type Fields = Record<string, string | string[]>;

function seen(answer: { statusCode: number; headers: object; body: string }): SeenPage {
  const root = parse(answer.body);
  return {
    status: answer.statusCode,
    headers: { ...answer.headers },
    root,
    text: root.textContent.replace(/\s+/g, ' '),
  };
}

/** Gets a page as a browser on this machine does. */
export async function getPage(
  app: FastifyInstance,
  path: string,
  headers: Record<string, string> = {},
): Promise<SeenPage> {
  return seen(
    await app.inject({ method: 'GET', url: path, headers: { host: 'localhost', ...headers } }),
  );
}

/** Sends a form as a browser on this machine does. */
export async function sendForm(
  app: FastifyInstance,
  path: string,
  fields: Fields,
  headers: Record<string, string> = {},
): Promise<SeenPage> {
  const body = new URLSearchParams(
    Object.entries(fields).flatMap(([name, value]) =>
      [value].flat().map((one): [string, string] => [name, one]),
    ),
  );
  return seen(
    await app.inject({
      method: 'POST',
      url: path,
      headers: {
        host: 'localhost',
        'sec-fetch-site': 'same-origin',
        'content-type': 'application/x-www-form-urlencoded',
        ...headers,
      },
      payload: body.toString(),
    }),
  );
}

/** What a form on the page would send: its fields with their values, changed by `change`. */
export function fieldsOf(page: SeenPage, action: string, change: Fields = {}): Fields {
  const form = page.root.querySelector(`form[method="post"][action="${action}"]`);
  if (!form) throw new Error(`no form with the action ${action}`);
  const fields: Fields = {};
  for (const input of form.querySelectorAll('input, select, textarea')) {
    const name = input.getAttribute('name');
    if (!name) continue;
    if (input.getAttribute('type') === 'radio') {
      if (input.hasAttribute('checked')) fields[name] = input.getAttribute('value') ?? '';
      continue;
    }
    if (input.getAttribute('type') === 'checkbox') {
      if (!input.hasAttribute('checked')) continue;
      fields[name] = [...[fields[name] ?? []].flat(), input.getAttribute('value') ?? ''];
    } else fields[name] = typedIn(input);
  }
  return { ...fields, ...change };
}

function typedIn(input: HTMLElement): string {
  if (input.tagName === 'TEXTAREA') return input.textContent;
  if (input.tagName !== 'SELECT') return input.getAttribute('value') ?? '';
  const options = input.querySelectorAll('option');
  const chosen = options.find((option) => option.hasAttribute('selected')) ?? options[0];
  return chosen?.getAttribute('value') ?? '';
}
