import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import { renderPane } from '../htmx.ts';
import { bareShell } from '../pages/shell.ts';

/** Ends a request with a status and a sentence that may be shown. */
export class PageError extends Error {
  readonly statusCode: number;

  constructor(statusCode: number, message: string) {
    super(message);
    this.statusCode = statusCode;
  }
}

const titles: Record<number, string> = {
  401: 'Signed out',
  403: 'Not allowed',
  404: 'Not found',
  410: 'Withdrawn',
  413: 'Too large',
  421: 'Not served here',
  429: 'Too fast',
  503: 'Not saved',
  507: 'Not saved',
};

/** What the disk refuses is no fault of the form; 507 is Insufficient Storage (RFC 4918, 11.5). */
export const diskStatus: Record<string, number> = {
  'disk-full': 507,
  'disk-read-only': 503,
  'disk-fault': 503,
};

/** Messages of the server's own refusals, by status; all others may hold inner detail. */
const sentences: Record<number, string> = {
  400: 'The request could not be read.',
  413: 'The upload is larger than 20 megabytes.',
  415: 'The form was sent in a way that is not understood here.',
};

/** A form that was not saved: where it goes, and its fields as typed. */
interface FormAgain {
  action: string;
  fields: { name: string; value: string }[];
}

/** Only forms of fields can be shown again; a file has to be chosen anew. */
function formAgain(request: FastifyRequest): FormAgain | null {
  if (request.method !== 'POST' || typeof request.typed !== 'object') return null;
  const fields = Object.entries(request.typed).map(([name, value]) => ({ name, value }));
  return { action: request.url, fields };
}

/**
 * One place for everything that ends badly: pages in the look of the rest, nothing of the inside shown. The
 * number of the request is in the log beside the cause. `diskProblem` says what a failed write means; a form that it
 * ends is shown with what was typed, to be sent again.
 */
export function registerErrors(
  app: FastifyInstance,
  diskProblem: (error: unknown) => Problem | null,
): void {
  const show = async (
    request: FastifyRequest,
    reply: FastifyReply,
    statusCode: number,
    sentence: string,
    again: FormAgain | null = null,
  ) => {
    const title = titles[statusCode] ?? (statusCode < 500 ? 'Not understood' : 'Something broke');
    // The land may be what broke, so the frame of this page asks nothing of it.
    const shell = bareShell(title, request.person);
    const requestId = statusCode < 500 ? '' : request.id;
    reply.code(statusCode);
    return renderPane(
      request,
      reply,
      { page: 'errors/show' },
      { shell, sentence, requestId, again },
    );
  };
  app.setNotFoundHandler((request, reply) =>
    show(request, reply, 404, 'There is no page at this address.'),
  );
  app.setErrorHandler((error: Error & { statusCode?: number }, request, reply) => {
    const disk = diskProblem(error);
    const statusCode = (disk && diskStatus[disk.code]) ?? error.statusCode ?? 500;
    if (statusCode >= 500) request.log.error(error);
    if (disk) return show(request, reply, statusCode, disk.message, formAgain(request));
    const sentence =
      error instanceof PageError
        ? error.message
        : (sentences[statusCode] ??
          (statusCode < 500
            ? 'The request could not be understood.'
            : 'The page could not be made. Nothing of yours was lost; go back and try again.'));
    return show(request, reply, statusCode, sentence);
  });
}
