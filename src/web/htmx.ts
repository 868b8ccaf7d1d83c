import type { FastifyReply, FastifyRequest } from 'fastify';
import { forRole } from './plugins/role-view.ts';

/** A template and, where htmx swaps a part of the page, the pane inside it. Names are paths under `views/`. */
export interface PageTemplate {
  page: string;
  pane?: string;
}

/** htmx says what it will do with the answer: swap a part, or (after Back) the whole page. */
function isPartial(request: FastifyRequest): boolean {
  return request.headers['hx-request-type'] === 'partial';
}

/**
 * Renders the page, or only its pane for an htmx swap; both from the same model. HTML is never kept
 * by a cache without asking again.
 */
export async function renderPane(
  request: FastifyRequest,
  reply: FastifyReply,
  template: PageTemplate,
  model: object,
): Promise<string> {
  // What a person sees stays in no store of a browser that others may use.
  reply.header('cache-control', request.person ? 'no-store' : 'private, no-cache');
  reply.header('vary', 'HX-Request-Type');
  reply.type('text/html; charset=utf-8');
  const name = template.pane && isPartial(request) ? template.pane : template.page;
  return forRole(await reply.viewAsync(name, model), request.person);
}
