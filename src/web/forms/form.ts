import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Static, TObject } from 'typebox';
import type { Problem } from '../../core/problems.ts';
import { diskStatus, PageError } from '../plugins/errors.ts';

/** A form: what it may hold, and each field's name on the screen. */
export interface Form<S extends TObject> {
  schema: S;
  labels: Record<string, string>;
}

/** What a form page shows again: the typed text by field, and what is wrong with it. */
export interface FormState {
  values: Record<string, string>;
  problems: Problem[];
  /** What is on record, where it is not what the form shows: a refused form shows what was typed. */
  stored?: Record<string, string>;
}

export const blankForm: FormState = { values: {}, problems: [] };

interface SchemaError {
  keyword: string;
  instancePath: string;
  params: Record<string, unknown>;
}

type RawBody = Record<string, unknown>;

/** Typed text by field, before the schema turned it into numbers; lists are joined with commas. */
function typedText(body: unknown): Record<string, string> {
  if (typeof body !== 'object' || body === null) return {};
  return Object.fromEntries(
    Object.entries(body as RawBody).map(([field, value]) => [
      field,
      Array.isArray(value) ? value.join(',') : String(value ?? ''),
    ]),
  );
}

function sentence(label: string, error: SchemaError): string {
  const limit = String(error.params['limit'] ?? '');
  switch (error.keyword) {
    case 'required':
    case 'minLength':
      return `${label}: fill this in.`;
    case 'type':
      return error.params['type'] === 'integer'
        ? `${label}: write a whole number, such as 12.`
        : `${label}: write a number, such as 12 or 12.5.`;
    case 'minimum':
    case 'exclusiveMinimum':
      return `${label}: write a number of ${limit} or more.`;
    case 'maximum':
      return `${label}: write a number of ${limit} or less.`;
    case 'maxLength':
      return `${label}: write at most ${limit} characters.`;
    case 'maxItems':
      return `${label}: choose at most ${limit}.`;
    case 'format':
      return `${label}: write a real day as year-month-day, such as 2027-03-04.`;
    default:
      return `${label}: choose one of the offered values.`;
  }
}

function fieldOf(error: SchemaError): string {
  if (error.keyword === 'required') return String(error.params['missingProperty']);
  return error.instancePath.split('/')[1] ?? '';
}

/** The first thing wrong with each field; a union reports several for one fault. */
function problemsOf(errors: readonly SchemaError[], labels: Record<string, string>): Problem[] {
  const byField = new Map<string, Problem>();
  for (const error of errors) {
    const field = fieldOf(error);
    if (byField.has(field)) continue;
    const label = labels[field] ?? field;
    byField.set(field, { code: error.keyword, field, message: sentence(label, error) });
  }
  return [...byField.values()];
}

/** What a handler gets: the values when the form is sound, and always the form as typed. */
export type Submission<S extends TObject> =
  | { ok: true; values: Static<S>; form: FormState }
  | { ok: false; form: FormState };

type Handler<S extends TObject> = (
  submission: Submission<S>,
  request: FastifyRequest,
  reply: FastifyReply,
) => Promise<unknown>;

declare module 'fastify' {
  interface FastifyRequest {
    /** Form fields as they came, kept because checking changes the body. */
    typed: Record<string, string>;
    /** What was on record when the form was made; null for a form that does not say. */
    was: Record<string, string> | null;
    /** The user has seen which planned tasks the change breaks, and wants it. */
    isSure: boolean;
  }
}

/** Takes the two fields that go with every form of a row out of the body. */
function takeFormMarks(request: FastifyRequest): void {
  const body = (request.body ?? {}) as RawBody;
  const { stored, saveAnyway, ...fields } = body;
  request.isSure = saveAnyway === 'yes';
  request.was = null;
  try {
    const read: unknown = typeof stored === 'string' ? JSON.parse(stored) : null;
    if (typeof read === 'object' && read !== null && !Array.isArray(read))
      request.was = typedText(read);
  } catch {
    // A mark that nobody can read says nothing; the form is taken as one without.
  }
  // Blanks alone say nothing, and a field that has to be filled in is not.
  request.body = Object.fromEntries(
    Object.entries(fields).map(([name, value]) => [
      name,
      typeof value === 'string' && value.trim() === '' ? '' : value,
    ]),
  );
}

/**
 * What somebody else saved while the form was open and this form would undo: both versions of each such field. Empty when
 * nothing of it changed. `stored` is what is on record now.
 */
export function changedMeanwhile(
  request: FastifyRequest,
  stored: Record<string, string>,
  labels: Record<string, string>,
): Problem[] {
  const { was, typed } = request;
  if (!was) return [];
  return Object.entries(stored).flatMap(([field, now]): Problem[] => {
    const mine = typed[field] ?? '';
    if (was[field] === undefined || was[field] === now || mine === now) return [];
    const message = `${labels[field] ?? field}: meanwhile somebody saved "${now}", and you have "${mine}". Save again to keep yours, or write theirs.`;
    return [{ code: 'changed-meanwhile', field, message }];
  });
}

/** 507 or 503 when the disk refuses, 409 when others were quicker or the plan would break, else 422. */
export function refusalStatus(problems: readonly Problem[]): number {
  const ofDisk = problems.map(({ code }) => diskStatus[code]).find((status) => status);
  if (ofDisk) return ofDisk;
  const isConflict = ({ code }: Problem) => code === 'changed-meanwhile' || code === 'breaks-plan';
  return problems.length > 0 && problems.every(isConflict) ? 409 : 422;
}

/** A zero where only a blank or more is sound: the schema's coercion takes it for the blank, and nobody typed one. */
function lostZeros(request: FastifyRequest, labels: Record<string, string>): Problem[] {
  return Object.entries(request.body as RawBody).flatMap(([field, value]): Problem[] => {
    if (value !== null || (request.typed[field] ?? '').trim() === '') return [];
    const message = `${labels[field] ?? field}: write a number above 0, or leave it blank.`;
    return [{ code: 'minimum', field, message }];
  });
}

/** Largest plain form; uploads have their own route and limit. */
const bodyBytesMost = 256 * 1024;

/** A POST route for a form. Bad fields are handed over as problems; the handler shows the page again with 422. */
export function postForm<S extends TObject>(
  app: FastifyInstance,
  path: string,
  form: Form<S>,
  handler: Handler<S>,
): void {
  app.post(
    path,
    {
      schema: { body: form.schema },
      attachValidation: true,
      bodyLimit: bodyBytesMost,
      preValidation: async (request) => {
        takeFormMarks(request);
        request.typed = typedText(request.body);
      },
    },
    async (request, reply) => {
      const { validationError } = request;
      const values = request.typed;
      if (!validationError) {
        const problems = lostZeros(request, form.labels);
        const state = { values, problems };
        return problems.length === 0
          ? handler({ ok: true, values: request.body as Static<S>, form: state }, request, reply)
          : handler({ ok: false, form: state }, request, reply);
      }
      if (validationError.validationContext !== 'body')
        throw new PageError(404, 'There is no page at this address.');
      const errors = validationError.validation as unknown as SchemaError[];
      return handler(
        { ok: false, form: { values, problems: problemsOf(errors, form.labels) } },
        request,
        reply,
      );
    },
  );
}

/** Sends the browser on to a page after a change, so that a reload does not send the form twice. */
export function seeOther(reply: FastifyReply, path: string): FastifyReply {
  return reply.redirect(path, 303);
}

/** The id in `/units/:id` and the like; anything but a positive whole number is an unknown page. */
export function idOf(request: FastifyRequest, name = 'id'): number {
  const text = (request.params as Record<string, string>)[name] ?? '';
  if (!/^[1-9]\d{0,9}$/.test(text)) throw new PageError(404, 'There is no page at this address.');
  return Number(text);
}
