import { SaxesParser } from 'saxes';
import type { LandFeature, LandGeometry, LandNoun } from '../core/land-file.ts';
import type { Problem } from '../core/problems.ts';
import type { RawFeature } from './geojson-land.ts';

/** Namespace of KML 2.2 (OGC 07-147r2). */
const kmlNamespace = 'http://www.opengis.net/kml/2.2';
const depthMost = 100;
const placemarksMost = 10_000;

interface Node {
  /** Local name; blank for elements of other namespaces, which are not read. */
  name: string;
  attributes: Record<string, string>;
  children: Node[];
  text: string;
  line: number;
}

function newNode(name: string, line: number, attributes: Record<string, string> = {}): Node {
  return { name, attributes, children: [], text: '', line };
}

class Refused extends Error {
  readonly code: string;
  readonly line: number;

  constructor(code: string, message: string, line: number) {
    super(message);
    this.code = code;
    this.line = line;
  }
}

/** The elements of the file. Throws Refused; a document type is refused, so no entity of its own is ever expanded. */
function parseTree(text: string): Node {
  const parser = new SaxesParser({ xmlns: true });
  const top = newNode('', 0);
  const open: Node[] = [top];
  let namespace: string | null = null;
  parser.on('error', (error) => {
    const what = error.message.replace(/^\d+:\d+: /, '').replace(/\.$/, '');
    throw new Refused('not-xml', `The XML is broken: ${what}`, parser.line);
  });
  parser.on('doctype', () => {
    throw new Refused(
      'doctype',
      'The file has a DOCTYPE, which is not read: remove it',
      parser.line,
    );
  });
  parser.on('opentag', (tag) => {
    if (open.length > depthMost)
      throw new Refused('too-deep', `Elements lie over ${depthMost} deep`, parser.line);
    // Files without any namespace are read; within a file only elements of the root's namespace.
    namespace ??= tag.uri;
    const attributes = Object.fromEntries(
      Object.values(tag.attributes).map(({ local, value }) => [local, value]),
    );
    const node = newNode(tag.uri === namespace ? tag.local : '', parser.line, attributes);
    open.at(-1)!.children.push(node);
    open.push(node);
  });
  parser.on('closetag', () => {
    open.pop();
  });
  const addText = (part: string) => {
    open.at(-1)!.text += part;
  };
  parser.on('text', addText);
  parser.on('cdata', addText);
  parser.write(text.replace(/^\uFEFF/, '')).close();
  return top;
}

const childrenOf = (node: Node, name: string) => node.children.filter((one) => one.name === name);
const childOf = (node: Node, name: string) => node.children.find((one) => one.name === name);

/** Tuples of longitude, latitude and maybe altitude, which is dropped; blanks part the tuples. */
function positionsOf(node: Node | undefined): number[][] {
  const tuples = (node && childOf(node, 'coordinates')?.text.trim()) || '';
  if (tuples === '') return [];
  return tuples.split(/\s+/).map((tuple) => {
    const [longitude = '', latitude = ''] = tuple.split(',');
    const degrees = (part: string) => (part === '' ? Number.NaN : Number(part));
    return [degrees(longitude), degrees(latitude)];
  });
}

function ringsOf(polygon: Node): number[][][] {
  const ring = (boundary: Node) => positionsOf(childOf(boundary, 'LinearRing'));
  const outer = childOf(polygon, 'outerBoundaryIs');
  return [outer ? ring(outer) : [], ...childrenOf(polygon, 'innerBoundaryIs').map(ring)];
}

interface Shapes {
  polygons: number[][][][];
  paths: number[][][];
  points: number[][];
}

function collect(node: Node, shapes: Shapes): void {
  for (const child of node.children) {
    if (child.name === 'MultiGeometry') collect(child, shapes);
    else if (child.name === 'Polygon') shapes.polygons.push(ringsOf(child));
    else if (child.name === 'LineString' || child.name === 'LinearRing')
      shapes.paths.push(positionsOf(child));
    else if (child.name === 'Point') shapes.points.push(positionsOf(child)[0] ?? []);
  }
}

/** The geometry of a placemark as GeoJSON; a mixture of kinds keeps the name that a reader refuses. */
function geometryOf(placemark: Node): unknown {
  const shapes: Shapes = { polygons: [], paths: [], points: [] };
  collect(placemark, shapes);
  const { polygons, paths, points } = shapes;
  const kinds = [polygons, paths, points].filter((list) => list.length > 0).length;
  if (kinds === 0) return null;
  if (kinds > 1 || points.length > 1) return { type: 'MultiGeometry' };
  if (points.length === 1) return { type: 'Point', coordinates: points[0] };
  if (paths.length > 0)
    return paths.length === 1
      ? { type: 'LineString', coordinates: paths[0] }
      : { type: 'MultiLineString', coordinates: paths };
  return polygons.length === 1
    ? { type: 'Polygon', coordinates: polygons[0] }
    : { type: 'MultiPolygon', coordinates: polygons };
}

function propertiesOf(placemark: Node): Record<string, unknown> {
  const name = childOf(placemark, 'name')?.text.trim() ?? '';
  const values: [string, string][] = name === '' ? [] : [['name', name]];
  for (const extended of childrenOf(placemark, 'ExtendedData')) {
    for (const data of childrenOf(extended, 'Data'))
      values.push([data.attributes['name'] ?? '', childOf(data, 'value')?.text.trim() ?? '']);
    for (const schema of childrenOf(extended, 'SchemaData'))
      for (const data of childrenOf(schema, 'SimpleData'))
        values.push([data.attributes['name'] ?? '', data.text.trim()]);
  }
  return Object.fromEntries(values.filter(([key]) => key !== '' && key !== '__proto__'));
}

const containers = new Set(['kml', 'Document', 'Folder']);
const unread = new Set(['NetworkLink', 'GroundOverlay', 'PhotoOverlay', 'ScreenOverlay']);

function walk(node: Node, found: Node[], skipped: string[]): void {
  for (const child of node.children) {
    if (child.name === 'Placemark') found.push(child);
    else if (containers.has(child.name)) walk(child, found, skipped);
    else if (unread.has(child.name)) skipped.push(child.name);
  }
}

function problemsOf(code: string, message: string, line?: number): Problem[] {
  return [{ code, message, field: 'text', ...(line === undefined ? {} : { line }) }];
}

/**
 * Placemarks of a KML 2.2 file (OGC 07-147r2) as features: name, ExtendedData (Data and SchemaData) and geometry
 * with altitudes dropped. Links to other files and pictures are not followed, and named in a note. A broken file, a
 * document type or an entity of its own is refused with its line.
 */
export function readKml(
  text: string,
): { ok: true; features: RawFeature[]; notes: Problem[] } | { ok: false; problems: Problem[] } {
  let top: Node;
  try {
    top = parseTree(text);
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    const message = `Line ${error.line}: ${error.message}.`;
    return { ok: false, problems: problemsOf(error.code, message, error.line) };
  }
  const root = top.children[0];
  if (root?.name !== 'kml')
    return {
      ok: false,
      problems: problemsOf(
        'not-kml',
        'The file is XML and not KML: its first element has to be kml.',
      ),
    };
  const placemarks: Node[] = [];
  const skipped: string[] = [];
  walk(top, placemarks, skipped);
  if (placemarks.length === 0)
    return {
      ok: false,
      problems: problemsOf('no-placemarks', 'The file has no Placemark to read.'),
    };
  if (placemarks.length > placemarksMost)
    return {
      ok: false,
      problems: problemsOf(
        'too-many-placemarks',
        `The file has over ${placemarksMost} placemarks: split it.`,
      ),
    };
  const features = placemarks.map((placemark) => ({
    properties: propertiesOf(placemark),
    geometry: geometryOf(placemark),
  }));
  const names = [...new Set(skipped)];
  const notes = names.map((name) => ({
    code: 'kml-not-followed',
    message: `${name} (${skipped.filter((one) => one === name).length}) was passed over: links to other files and pictures are not read.`,
  }));
  return { ok: true, features, notes };
}

function escaped(value: string | number): string {
  return String(value)
    .replace(/[^\t\n\r\u0020-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]/gu, '')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

function coordinates(positions: readonly (readonly number[])[]): string {
  return `<coordinates>${positions.map((one) => one.slice(0, 2).join(',')).join(' ')}</coordinates>`;
}

function polygonText([outer = [], ...holes]: readonly number[][][]): string {
  const ring = (positions: number[][]) => `<LinearRing>${coordinates(positions)}</LinearRing>`;
  const inner = holes.map((hole) => `<innerBoundaryIs>${ring(hole)}</innerBoundaryIs>`);
  return `<Polygon><outerBoundaryIs>${ring(outer)}</outerBoundaryIs>${inner.join('')}</Polygon>`;
}

function lineText(path: readonly (readonly number[])[]): string {
  return `<LineString><tessellate>1</tessellate>${coordinates(path)}</LineString>`;
}

function geometryText(geometry: LandGeometry | null): string {
  if (geometry === null) return '';
  const many = (parts: string[]) => `<MultiGeometry>${parts.join('')}</MultiGeometry>`;
  switch (geometry.type) {
    case 'Point':
      return `<Point>${coordinates([geometry.coordinates])}</Point>`;
    case 'LineString':
      return lineText(geometry.coordinates);
    case 'MultiLineString':
      return many(geometry.coordinates.map(lineText));
    case 'Polygon':
      return polygonText(geometry.coordinates as number[][][]);
    case 'MultiPolygon':
      return many((geometry.coordinates as number[][][][]).map(polygonText));
  }
}

const folderNames: Record<LandNoun, string> = {
  unit: 'Units',
  block: 'Blocks',
  line: 'Lines',
  point: 'Points to protect',
};

/** Land as a KML 2.2 file (OGC 07-147r2): one Document, a Folder for each kind, the fields as ExtendedData. */
export function writeKml(title: string, features: readonly LandFeature[]): string {
  const folders = (Object.keys(folderNames) as LandNoun[]).flatMap((what) => {
    const own = features.filter((feature) => feature.what === what);
    if (own.length === 0) return [];
    const placemarks = own.map(({ properties, geometry }) => {
      const data = Object.entries(properties).map(
        ([name, value]) => `<Data name="${escaped(name)}"><value>${escaped(value)}</value></Data>`,
      );
      const name = properties['code'] ?? properties['name'] ?? '';
      return `<Placemark><name>${escaped(name)}</name><ExtendedData>${data.join('')}</ExtendedData>${geometryText(geometry)}</Placemark>`;
    });
    return [`<Folder><name>${folderNames[what]}</name>`, ...placemarks, '</Folder>'];
  });
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<kml xmlns="${kmlNamespace}"><Document><name>${escaped(title)}</name>`,
    ...folders,
    '</Document></kml>',
    '',
  ].join('\n');
}
