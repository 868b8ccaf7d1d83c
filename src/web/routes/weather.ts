import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import type { CsvClock, Deps, WeatherFileOrder } from '../deps.ts';
import { changedMeanwhile, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { forecastForm, partsOfForm, serviceForm, stationForm } from '../forms/weather.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import {
  stationPage,
  typedForecastPage,
  weatherImportPage,
  weatherPage,
} from '../pages/weather.ts';
import { PageError } from '../plugins/errors.ts';

type Query = Record<string, string | undefined>;

const template = { page: 'weather/show', pane: 'weather/_run' };
const stationGone = 'There is no weather station of this name.';

interface Upload {
  values: Record<string, string>;
  fileName: string;
  bytes: Uint8Array;
}

async function readUpload(request: FastifyRequest): Promise<Upload> {
  if (!request.isMultipart()) throw new PageError(415, 'Send the form as it is on the page.');
  const upload: Upload = { values: {}, fileName: '', bytes: new Uint8Array() };
  for await (const part of request.parts()) {
    if (part.type === 'field') upload.values[part.fieldname] = String(part.value);
    else {
      upload.bytes = await part.toBuffer();
      upload.fileName = part.filename;
    }
  }
  return upload;
}

function degrees(upload: Upload, field: string, label: string, most: number): number | Problem {
  const text = upload.values[field]?.trim() ?? '';
  const value = Number(text);
  if (text !== '' && Math.abs(value) <= most) return value;
  const message = `${label}: write degrees from -${most} to ${most}, west and south negative.`;
  return { code: 'place', field, message };
}

const isProblem = (value: unknown): value is Problem => typeof value === 'object';

const oneOf = <T extends string>(text: string | undefined, offered: readonly T[], usual: T): T =>
  offered.find((one) => one === text) ?? usual;

/** What to import, or what is wrong with the form. */
function orderOf(upload: Upload): { order: WeatherFileOrder | null; problems: Problem[] } {
  const problems: Problem[] = [];
  const { values } = upload;
  const name = values['station']?.trim() ?? '';
  if (name === '' || name.length > 120)
    problems.push({
      code: 'station',
      field: 'station',
      message: 'Station: give it a name of at most 120 characters.',
    });
  if (upload.bytes.length === 0)
    problems.push({ code: 'no-file', field: 'file', message: 'File: choose a weather file.' });
  const latitude = degrees(upload, 'latitude', 'Latitude', 90);
  const longitude = degrees(upload, 'longitude', 'Longitude', 180);
  problems.push(...[latitude, longitude].filter(isProblem));
  if (problems.length > 0 || isProblem(latitude) || isProblem(longitude))
    return { order: null, problems };
  const clocks: readonly CsvClock[] = ['local', 'standard', 'utc'];
  const timeZone = values['timeZone']?.trim() ?? '';
  const order: WeatherFileOrder = {
    station: { name, latitude, longitude, timeZone, isInvented: false },
    fileName: upload.fileName,
    bytes: upload.bytes,
    format: oneOf(values['format'], ['auto', 'isd-lite', 'ghcn-daily', 'csv'], 'auto'),
    clock: oneOf(values['clock'], clocks, 'local'),
    windHeight: oneOf(values['windHeight'], ['10-m', '20-ft'], '10-m'),
  };
  return { order, problems };
}

async function importFile(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<unknown> {
  const upload = await readUpload(request);
  let { order, problems } = orderOf(upload);
  if (order) {
    const started = deps.weather.startImport(order);
    if (started.ok) return seeOther(reply, '/weather');
    problems = started.problems;
  }
  reply.code(422);
  const page = weatherImportPage(deps, { values: upload.values, problems });
  return renderPane(request, reply, { page: 'weather/import' }, page);
}

function registerImport(app: FastifyInstance, deps: Deps): void {
  app.get('/weather/import', async (request, reply) =>
    renderPane(request, reply, { page: 'weather/import' }, weatherImportPage(deps)),
  );
  app.post('/weather/import', (request, reply) => importFile(deps, request, reply));
  postForm(app, '/weather/import/stop', buttonForm, async (_submission, _request, reply) => {
    deps.weather.stopImport();
    return seeOther(reply, '/weather');
  });
}

function registerForecast(app: FastifyInstance, deps: Deps): void {
  const show = (request: FastifyRequest, reply: FastifyReply, page: object | null) => {
    if (!page) throw new PageError(404, stationGone);
    return renderPane(request, reply, { page: 'weather/forecast' }, page);
  };
  app.get<{ Querystring: Query }>('/weather/forecast', async (request, reply) =>
    show(request, reply, typedForecastPage(deps, request.query['station'] ?? '')),
  );
  postForm(app, '/weather/forecast', forecastForm, async (submission, request, reply) => {
    const name = request.typed['station'] ?? '';
    let { problems } = submission.form;
    if (submission.ok) {
      problems = deps.weather.saveForecast(name, partsOfForm(submission.values));
      if (problems.length === 0)
        return seeOther(reply, `/weather/station?name=${encodeURIComponent(name)}`);
    }
    reply.code(422);
    return show(request, reply, typedForecastPage(deps, name, { ...submission.form, problems }));
  });
  postForm(app, '/weather/forecast/refresh', stationForm, async (submission, request, reply) => {
    const name = request.typed['station'] ?? '';
    const problems = submission.ok ? deps.weather.refreshForecast(name) : submission.form.problems;
    const [problem] = problems;
    if (problem) throw new PageError(422, problem.message);
    return seeOther(reply, `/weather/station?name=${encodeURIComponent(name)}`);
  });
  postForm(app, '/weather/service', serviceForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    const stored = weatherPage(deps).service.values;
    if (submission.ok) problems = changedMeanwhile(request, stored, serviceForm.labels);
    if (submission.ok && problems.length === 0) {
      const { isOn, address, contact } = submission.values;
      problems = deps.weather.saveService({ isOn: isOn === 'yes', address, contact });
      if (problems.length === 0) return seeOther(reply, '/weather#service');
    }
    reply.code(refusalStatus(problems));
    const page = weatherPage(deps, { ...submission.form, problems, stored });
    return renderPane(request, reply, { page: template.page }, page);
  });
}

/** `/weather`: stations and what is held of each, files to load, forecasts and their service. */
export function registerWeather(app: FastifyInstance, deps: Deps): void {
  app.get('/weather', async (request, reply) =>
    renderPane(request, reply, template, weatherPage(deps)),
  );
  app.get<{ Querystring: Query }>('/weather/station', async (request, reply) => {
    const page = stationPage(deps, request.query['name'] ?? '');
    if (!page) throw new PageError(404, stationGone);
    return renderPane(request, reply, { page: 'weather/station' }, page);
  });
  registerImport(app, deps);
  registerForecast(app, deps);
}
