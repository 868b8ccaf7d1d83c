import type { Caution } from '../../core/treatments.ts';
import type { Deps } from '../deps.ts';
import { type Shell, shellOf } from './shell.ts';

export interface MorePage {
  shell: Shell;
  cautions: Caution[];
  statuses: { name: string; meaning: string }[];
}

/** What the More page shows: links, what the tool does not decide, and every caution. */
export function morePage(deps: Deps): MorePage {
  return {
    shell: shellOf(deps, 'more', 'What else is there?'),
    cautions: deps.operation().cautions,
    statuses: [
      { name: 'published', meaning: 'read in the source named beside it' },
      { name: 'common practice, no source', meaning: 'widely done; nobody is cited for it' },
      { name: 'our default, to edit', meaning: 'our own judgement; change it to what you know' },
    ],
  };
}
