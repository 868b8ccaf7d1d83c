import { entriesForScope, feedRevisedAt, feedScopes, findFeedScope } from '../core/feed-scopes.ts';
import { renderFeed } from '../feeds/ics.ts';
import {
  exitDone,
  readArguments,
  readRequired,
  readToday,
  UsageError,
  type Verb,
} from './arguments.ts';
import { openPresentFile } from './operation-file.ts';

async function run(args: string[]): Promise<number> {
  const { values, flags } = readArguments(args, ['db', 'name', 'today'], ['list']);
  const file = openPresentFile(readRequired(values, 'db'), readToday(values));
  try {
    const scopes = feedScopes(file.operation(), file.store.ownFeeds.list());
    if (flags.has('list')) {
      process.stdout.write(scopes.map((scope) => `${scope.name}\n`).join(''));
      return exitDone;
    }
    const scope = findFeedScope(scopes, readRequired(values, 'name'));
    if (!scope)
      throw new UsageError(`There is no feed named "${values['name']}": --list names them.`);
    file.publish();
    const published = file.store.published();
    process.stdout.write(
      renderFeed(scope, entriesForScope(published, scope, file.today()), {
        baseUrl: null,
        sourceUrl: null,
        revisedAt: feedRevisedAt(published, scope, file.today()),
      }),
    );
    return exitDone;
  } finally {
    file.close();
  }
}

export const feedVerb: Verb = {
  name: 'feed',
  summary: 'list the calendar feeds, or print one',
  help: `
Usage: node dist/cli/main.js feed --db FILE --list
       node dist/cli/main.js feed --db FILE --name NAME

  --db FILE     the database
  --list        one name a line, properties first
  --name NAME   print this feed as iCalendar text (RFC 5545)
  --today DATE  as of this day (tests and pictures)
`,
  run,
};
