import { randomUUID } from 'node:crypto';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { unitsOf } from '../../core/chains.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import { unwatchedProblems } from '../../core/patrol.ts';
import type { Problem } from '../../core/problems.ts';
import type { DetailFacts, EntryDraft, FireReading } from '../../core/work-details.ts';
import { sharedByAcres, type WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { changedMeanwhile, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { readPhotos } from '../forms/photos.ts';
import {
  buttonForm,
  draftOf,
  type EntryValues,
  entryLabels,
  entryProblems,
  entryValues,
  logForm,
  noWorkAnswer,
  readingForm,
  signOutForm,
} from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { todayAt, todayOf } from '../pages/shell.ts';
import {
  correctPage,
  detailOf,
  type EntryForms,
  entriesAsked,
  entryOf,
  entryPage,
  entryShowPage,
  logQuery,
  newEntryPage,
  newEntryValues,
  worklogPage,
} from '../pages/worklog.ts';
import { PageError } from '../plugins/errors.ts';
import { keepSignOutReason } from './burn.ts';

type Query = Record<string, string | undefined>;

const signOutTitle = 'When was the burn out?';
const removeTitle = 'Remove this entry?';
const removePhotoTitle = 'Remove this photo?';

/** Closes an open burn with its last day of watch; before its checks are in, only with a reason. */
function signOut(deps: Deps, entry: WorkEntry, signedOutOn: IsoDate, reason: string): Problem[] {
  const { units, blocks } = deps.operation();
  const unit = units.find((one) => one.id === entry.unitId);
  const block = blocks.find((one) => one.id === unit?.blockId);
  const by = deps.access.current()?.name ?? 'the work log';
  return deps.allOrNone(() => {
    const problems = block ? keepSignOutReason(deps, block, signedOutOn, by, reason) : [];
    return problems.length > 0 ? problems : deps.worklog.signOut(entry.id, signedOutOn);
  });
}

function registerSignOut(app: FastifyInstance, deps: Deps): void {
  app.get('/worklog/:id/sign-out', async (request, reply) => {
    const form = { values: { signedOutOn: todayOf(deps) }, problems: [] };
    const page = entryPage(deps, idOf(request), signOutTitle, form);
    return renderPane(request, reply, { page: 'worklog/sign-out' }, page);
  });
  postForm(app, '/worklog/:id/sign-out', signOutForm, async (submission, request, reply) => {
    const entry = entryOf(deps, idOf(request));
    const problems = submission.ok
      ? signOut(
          deps,
          entry,
          submission.values.signedOutOn as IsoDate,
          submission.values.reason ?? '',
        )
      : submission.form.problems;
    if (problems.length === 0) return seeOther(reply, '/');
    reply.code(refusalStatus(problems));
    const page = entryPage(deps, entry.id, signOutTitle, { ...submission.form, problems });
    return renderPane(request, reply, { page: 'worklog/sign-out' }, page);
  });
}

function registerRemove(app: FastifyInstance, deps: Deps): void {
  app.get('/worklog/:id/remove', async (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'worklog/remove' },
      entryPage(deps, idOf(request), removeTitle),
    ),
  );
  postForm(app, '/worklog/:id/remove', buttonForm, async (submission, request, reply) => {
    const entry = entryOf(deps, idOf(request));
    const problems = deps.worklog.remove(entry.id);
    if (problems.length === 0) return seeOther(reply, '/worklog');
    reply.code(refusalStatus(problems));
    const page = entryPage(deps, entry.id, removeTitle, { ...submission.form, problems });
    return renderPane(request, reply, { page: 'worklog/remove' }, page);
  });
}

/** One entry a unit: of the unit chosen, or of every unit of its block. */
function draftsOf(operation: Operation, draft: EntryDraft, isWholeBlock: boolean): EntryDraft[] {
  const unit = operation.units.find((one) => one.id === draft.entry.unitId);
  const block = operation.blocks.find((one) => one.id === unit?.blockId);
  const units = isWholeBlock && block ? unitsOf(operation, block) : [];
  return units.length > 1 ? sharedByAcres(draft, units) : [draft];
}

/** What stands in the way of writing or correcting, and the entries as they would be. */
export function readEntry(
  deps: Deps,
  values: EntryValues,
  kept: Partial<WorkEntry> = {},
  before: WorkEntry | null = null,
): { drafts: EntryDraft[]; problems: Problem[] } {
  const operation = deps.operation();
  const read = draftOf(operation, values);
  const draft = { ...read.draft, entry: { ...read.draft.entry, ...kept } };
  const unit = operation.units.find((one) => one.id === draft.entry.unitId);
  const property = operation.properties.find((one) => one.id === unit?.propertyId);
  const problems = [
    ...read.problems,
    ...entryProblems(operation, draft.entry, todayAt(deps, property)),
    ...unwatchedProblems(draft.entry, before, todayAt(deps, property)),
  ];
  if (problems.length > 0) return { drafts: [], problems };
  const drafts = draftsOf(operation, draft, values.wholeBlock === 'yes');
  const answer = noWorkAnswer(
    operation,
    drafts.map(({ entry }) => entry),
    values,
  );
  const withNote = drafts.map(({ entry, detail }) => ({
    entry,
    detail: { ...detail, noWork: answer.note },
  }));
  return { drafts: withNote, problems: answer.problems };
}

function registerNew(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'worklog/new' };
  app.get<{ Querystring: Query }>('/worklog/new', async (request, reply) => {
    const values = { ...newEntryValues(deps, request.query), sendKey: randomUUID() };
    return renderPane(request, reply, template, newEntryPage(deps, { values, problems: [] }));
  });
  postForm(app, '/worklog/new', logForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    if (submission.ok) {
      const { values } = submission;
      const read = readEntry(deps, values);
      problems = read.problems;
      if (problems.length === 0) {
        const written = deps.worklog.write(read.drafts, values.sendKey || null);
        if (written.ok) return seeOther(reply, `/worklog/${written.value[0]?.id ?? ''}?saved=yes`);
        problems = written.problems;
      }
    }
    reply.code(refusalStatus(problems));
    const page = newEntryPage(deps, { ...submission.form, problems });
    return renderPane(request, reply, template, page);
  });
}

/** A date known to the month or year stays so while nobody writes another day. */
function keptOf(entry: WorkEntry, values: EntryValues): Partial<WorkEntry> {
  const isSameDay = values.doneOn === entry.doneOn;
  return isSameDay ? { precision: entry.precision } : {};
}

function correct(deps: Deps, entry: WorkEntry, values: EntryValues): Problem[] {
  const { wholeBlock: _, ...ofOneUnit } = values;
  const { drafts, problems } = readEntry(deps, ofOneUnit, keptOf(entry, values), entry);
  const [draft] = drafts;
  if (problems.length > 0 || !draft) return problems;
  // Readings that did not change stay as they were read, to the letter.
  const before = detailOf(deps, entry.id);
  const typed = (values.readings ?? '').replaceAll('\r\n', '\n');
  const detail: DetailFacts =
    typed === entryValues(entry, before)['readings']
      ? { ...draft.detail, readings: before.readings }
      : draft.detail;
  const outcome = deps.worklog.correct(entry.id, { entry: draft.entry, detail });
  return outcome.ok ? [] : outcome.problems;
}

function registerCorrect(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'worklog/new' };
  app.get('/worklog/:id/correct', async (request, reply) =>
    renderPane(request, reply, template, correctPage(deps, idOf(request))),
  );
  postForm(app, '/worklog/:id/correct', logForm, async (submission, request, reply) => {
    const entry = entryOf(deps, idOf(request));
    const stored = entryValues(entry, detailOf(deps, entry.id));
    let { problems } = submission.form;
    if (submission.ok) problems = changedMeanwhile(request, stored, entryLabels);
    if (submission.ok && problems.length === 0) problems = correct(deps, entry, submission.values);
    if (problems.length === 0) return seeOther(reply, `/worklog/${entry.id}`);
    reply.code(refusalStatus(problems));
    const page = correctPage(deps, entry.id, { ...submission.form, problems });
    return renderPane(request, reply, template, page);
  });
}

async function showEntry(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  forms: EntryForms = {},
) {
  const isNew = (request.query as Query)['saved'] === 'yes';
  const page = entryShowPage(deps, idOf(request), forms, isNew);
  return renderPane(request, reply, { page: 'worklog/show' }, page);
}

function registerReadings(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/worklog/:id/readings', readingForm, async (submission, request, reply) => {
    const entry = entryOf(deps, idOf(request));
    let { problems } = submission.form;
    if (submission.ok) {
      const { at, note, ...read } = submission.values;
      const reading: FireReading = {
        at: at.length === 4 ? `0${at}` : at,
        tempF: read.tempF ?? null,
        rhPercent: read.rhPercent ?? null,
        windMph: read.windMph ?? null,
        gustMph: read.gustMph ?? null,
        windFromDegrees: read.windFromDegrees ?? null,
        note: note ?? '',
      };
      problems = deps.worklog.addReading(entry.id, reading);
    }
    if (problems.length === 0) return seeOther(reply, `/worklog/${entry.id}#readings`);
    reply.code(refusalStatus(problems));
    return showEntry(deps, request, reply, { reading: { ...submission.form, problems } });
  });
}

const photoTypes: Record<string, string> = {
  jpg: 'image/jpeg',
  png: 'image/png',
  webp: 'image/webp',
};

const photoOf = (request: FastifyRequest) => (request.params as { photo: string }).photo;

function registerPhotos(app: FastifyInstance, deps: Deps): void {
  app.post('/worklog/:id/photos', async (request, reply) => {
    const entry = entryOf(deps, idOf(request));
    const form = await readPhotos(request, deps.worklog.keepPhoto);
    let { problems } = form;
    if (problems.length === 0) {
      const added = form.fileNames.map((fileName) => ({ fileName, caption: form.caption }));
      problems = deps.worklog.addPhotos(entry.id, added);
    } else deps.worklog.dropPhotos(form.fileNames);
    if (problems.length === 0) return seeOther(reply, `/worklog/${entry.id}#photos`);
    reply.code(refusalStatus(problems));
    const photo = { values: { caption: form.caption }, problems };
    return showEntry(deps, request, reply, { photo });
  });
  app.get('/worklog/:id/photos/:photo', async (request, reply) => {
    const name = photoOf(request);
    const bytes = deps.worklog.photo(idOf(request), name);
    const type = photoTypes[name.slice(name.lastIndexOf('.') + 1)];
    if (!bytes || !type) throw new PageError(404, 'There is no photo at this address.');
    return reply
      .header('cache-control', 'private, max-age=86400')
      .header('content-disposition', 'inline')
      .type(type)
      .send(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
  });
  app.get('/worklog/:id/photos/:photo/remove', async (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'worklog/remove-photo' },
      {
        ...entryPage(deps, idOf(request), removePhotoTitle),
        path: `/worklog/${idOf(request)}/photos/${encodeURIComponent(photoOf(request))}`,
      },
    ),
  );
  postForm(
    app,
    '/worklog/:id/photos/:photo/remove',
    buttonForm,
    async (submission, request, reply) => {
      const entry = entryOf(deps, idOf(request));
      const problems = deps.worklog.removePhoto(entry.id, photoOf(request));
      if (problems.length === 0) return seeOther(reply, `/worklog/${entry.id}#photos`);
      reply.code(refusalStatus(problems));
      const photo = { ...submission.form, problems };
      return showEntry(deps, request, reply, { photo });
    },
  );
}

/** `/worklog`: what was done, with filters and as a table; entries written, corrected, signed out and removed. */
export function registerWorklog(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/worklog', (request, reply) =>
    renderPane(request, reply, { page: 'worklog/list' }, worklogPage(deps, request.query)),
  );
  app.get<{ Querystring: Query }>('/worklog.csv', async (request, reply) =>
    reply
      .header('content-disposition', 'attachment; filename="work-log.csv"')
      .header('cache-control', 'private, no-cache')
      .type('text/csv; charset=utf-8')
      .send(deps.worklog.table(entriesAsked(deps, logQuery(request.query)))),
  );
  registerNew(app, deps);
  app.get('/worklog/:id', (request, reply) => showEntry(deps, request, reply));
  registerCorrect(app, deps);
  registerReadings(app, deps);
  registerPhotos(app, deps);
  registerRemove(app, deps);
  registerSignOut(app, deps);
}
