import { fileURLToPath } from 'node:url';
import view from '@fastify/view';
import { Eta } from 'eta';
import type { FastifyInstance } from 'fastify';
import * as words from '../words.ts';

const folder = fileURLToPath(new URL('../../../views/', import.meta.url));

/** Templates print what they are given: null is blank, undefined is a mistake in the page model. */
function printable(value: unknown): string {
  if (value === undefined) throw new TypeError('a template printed a value that the page lacks');
  return value === null ? '' : String(value);
}

/**
 * Eta templates from `views/`, escaped, each with the words of the trade as `it.words`. A page names its
 * layout itself; no layout is set for all, so that panes can be rendered bare.
 */
export function registerViews(app: FastifyInstance): void {
  const eta = new Eta({
    views: folder,
    cache: true,
    autoEscape: true,
    autoFilter: true,
    filterFunction: printable,
    autoTrim: [false, 'nl'],
  });
  app.register(view, {
    engine: { eta },
    templates: folder,
    production: true,
    defaultContext: { words },
    options: eta.config,
  });
}
