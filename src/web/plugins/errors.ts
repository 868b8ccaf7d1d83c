import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
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
};

/** Messages of the server's own refusals, by status; all others may hold inner detail. */
const sentences: Record<number, string> = {
  400: 'The request could not be read.',
  413: 'The upload is larger than 20 megabytes.',
  415: 'The form was sent in a way that is not understood here.',
};

/**
 * One place for everything that ends badly: pages in the look of the rest, nothing of the inside shown. The
 * number of the request is in the log beside the cause.
 */
export function registerErrors(app: FastifyInstance): void {
  const show = async (
    request: FastifyRequest,
    reply: FastifyReply,
    statusCode: number,
    sentence: string,
  ) => {
    const title = titles[statusCode] ?? (statusCode < 500 ? 'Not understood' : 'Something broke');
    // The land may be what broke, so the frame of this page asks nothing of it.
    const shell = bareShell(title, request.person);
    const requestId = statusCode < 500 ? '' : request.id;
    reply.code(statusCode);
    return renderPane(request, reply, { page: 'errors/show' }, { shell, sentence, requestId });
  };
  app.setNotFoundHandler((request, reply) =>
    show(request, reply, 404, 'There is no page at this address.'),
  );
  app.setErrorHandler((error: Error & { statusCode?: number }, request, reply) => {
    const statusCode = error.statusCode ?? 500;
    if (statusCode >= 500) request.log.error(error);
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
