import {
  type BlockSuggestion,
  type SuggestionLimits,
  suggestBlocks,
  suggestionLimitsDefault,
} from '../../core/blocks-joined.ts';
import { unitsOf } from '../../core/chains.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Position } from '../../core/geometry.ts';
import { type BlockLineWork, type DrawnLine, drawLines, lineWorkOf } from '../../core/line-work.ts';
import { type Line, type LineKindRule, lineGoodUntil } from '../../core/lines.ts';
import type { Operation } from '../../core/operation.ts';
import type { Problem } from '../../core/problems.ts';
import { mergeMost } from '../../core/unit-merge.ts';
import { partsLeast, partsMost } from '../../core/unit-split.ts';
import type { Unit } from '../../core/units.ts';
import type { Deps, ShapePreview } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import { type CornerSketch, cornerSketch } from './map-shapes.ts';
import { type Paged, paged } from './paging.ts';
import { type Shell, shellOf } from './shell.ts';

/** What a change would do, with the form's values to send again. */
export interface ConfirmPage {
  shell: Shell;
  action: string;
  back: string;
  button: string;
  notes: string[];
  breaks: Problem[];
  vanishing: ShapePreview['vanishing'];
  hidden: { name: string; value: string }[];
}

/** The page between a form and its saving: what changes, what vanishes, what breaks. */
export function confirmPage(
  deps: Deps,
  own: Pick<ConfirmPage, 'action' | 'back' | 'button'> & { title: string },
  { notes, breaks, vanishing }: ShapePreview,
  values: Record<string, string>,
): ConfirmPage {
  const { title, ...rest } = own;
  const hidden = Object.entries(values).flatMap(([name, value]) =>
    (name === 'unitId' ? value.split(',') : [value]).map((one) => ({ name, value: one })),
  );
  return { shell: shellOf(deps, 'units', title), ...rest, notes, breaks, vanishing, hidden };
}

function unitAt(operation: Operation, unitId: number): Unit {
  const unit = operation.units.find((one) => one.id === unitId);
  if (!unit) throw new PageError(404, 'There is no unit at this address.');
  return unit;
}

export interface SplitPage {
  shell: Shell;
  unit: Unit;
  partsCount: number;
  partsCounts: number[];
  sketch: CornerSketch | null;
  form: FormState;
}

/** The form that splits a unit; `partsCount` fields of parts, as many as the typed form needs at least. */
export function splitPage(
  deps: Deps,
  unitId: number,
  asked: number,
  form: FormState = blankForm,
): SplitPage {
  const unit = unitAt(deps.operation(), unitId);
  const sketch = unit.boundary ? cornerSketch(unit.boundary) : null;
  const typed = Array.from({ length: partsMost }, (_, at) => at + 1).filter(
    (number) => (form.values[`code${number}`] ?? '') !== '',
  );
  const values = {
    code1: unit.code,
    name1: unit.name,
    where: 'own',
    cut: sketch ? 'line' : 'none',
    ...form.values,
  };
  const count = Number.isInteger(asked) ? asked : partsLeast;
  return {
    shell: shellOf(deps, 'units', `Split ${unit.code} ${unit.name}`),
    unit,
    partsCount: Math.min(partsMost, Math.max(partsLeast, count, ...typed)),
    partsCounts: [2, 3, 4, 5, 6],
    sketch,
    form: { ...form, values },
  };
}

/** Corners of a unit's outer ring as the page numbers them. */
export function cornersOf(deps: Deps, unitId: number): Position[] {
  const { boundary } = unitAt(deps.operation(), unitId);
  return boundary ? cornerSketch(boundary).corners.map((corner) => corner.position) : [];
}

export interface MergePage {
  shell: Shell;
  unit: Unit | null;
  units: { key: string; name: string }[];
  neighbours: { id: number; name: string; sharedFeet: number; isTicked: boolean }[];
  most: number;
  form: FormState;
}

/** The form that merges a unit with neighbors, nearest in line first; without a unit, the choice of one. */
export function mergePage(
  deps: Deps,
  unitId: number | null,
  form: FormState = blankForm,
): MergePage {
  const operation = deps.operation();
  const unit = unitId === null ? null : unitAt(operation, unitId);
  const ticked = (form.values['unitId'] ?? '').split(',');
  const feetTo = (other: Unit) =>
    operation.neighbours.find(
      ({ unitIds }) => unit && unitIds.includes(unit.id) && unitIds.includes(other.id),
    )?.sharedFeet ?? 0;
  const hasNeighbours = ({ id }: Unit) =>
    operation.neighbours.some(({ unitIds }) => unitIds.includes(id));
  return {
    shell: shellOf(
      deps,
      'units',
      unit ? `Merge ${unit.code} ${unit.name} with neighbors` : 'Merge which units?',
    ),
    unit,
    most: mergeMost,
    units: operation.units
      .map((one) => ({ key: String(one.id), name: `${one.code} ${one.name}` }))
      .toSorted((a, b) => (a.name < b.name ? -1 : 1)),
    neighbours: operation.units
      .filter((one) => unit && one.id !== unit.id && one.propertyId === unit.propertyId)
      .filter(hasNeighbours)
      .map((one) => ({
        id: one.id,
        name: `${one.code} ${one.name}`,
        sharedFeet: feetTo(one),
        isTicked: ticked.includes(String(one.id)),
      }))
      .toSorted((a, b) => b.sharedFeet - a.sharedFeet || (a.name < b.name ? -1 : 1)),
    form: { ...form, values: { code: unit?.code ?? '', name: unit?.name ?? '', ...form.values } },
  };
}

export interface LineRow {
  line: Line;
  sides: string;
  kind: string;
  /** As entered, else by its kind; null = it stays good, or was never made. */
  goodUntil: IsoDate | null;
  isOnEdge: boolean;
}

export interface LinesPage {
  shell: Shell;
  property: { id: number; name: string } | null;
  properties: { id: number; name: string }[];
  /** Words that names, kinds and units of the lines shown hold. */
  query: string;
  /** Address of this list without its page number. */
  pagePath: string;
  lines: Paged<LineRow>;
  /** What drawing would do, edge by edge; null without boundaries. */
  drawn: DrawnLine[] | null;
  work: Paged<BlockLineWork>;
  kinds: LineKindRule[];
  form: FormState;
}

function propertyAsked(operation: Operation, asked: string | undefined) {
  const { properties } = operation;
  return properties.find((one) => String(one.id) === asked) ?? properties[0] ?? null;
}

/** Lines of a property, what the edges of its units say of them, and the line work of each block. */
export function linesPage(
  deps: Deps,
  asked: Record<string, string | undefined>,
  form: FormState = blankForm,
): LinesPage {
  const operation = deps.operation();
  const property = propertyAsked(operation, asked['property']);
  const query = (asked['q'] ?? '').trim();
  const drawing = property ? drawLines(operation, property.id, { line: 0 }) : null;
  const drawn = drawing?.ok ? drawing.value.drawn : null;
  const codeOf = (id: number) => operation.units.find((unit) => unit.id === id)?.code ?? '';
  const onEdge = new Set(drawn?.flatMap((row) => row.lineIds));
  const rows = operation.lines
    .filter((line) => line.propertyId === property?.id)
    .map((line) => ({
      line,
      sides: line.unitIds.map(codeOf).join(', '),
      kind: operation.lineKinds.find((row) => row.key === line.kind)?.name ?? line.kind,
      goodUntil: property
        ? lineGoodUntil(line, operation.lineKinds, property.anchors)
        : line.goodUntil,
      isOnEdge: onEdge.has(line.id),
    }));
  return {
    shell: shellOf(deps, 'more', 'Which lines are there?'),
    property,
    properties: operation.properties.map(({ id, name }) => ({ id, name })),
    query,
    pagePath: `/land/lines?property=${property?.id ?? ''}&q=${encodeURIComponent(query)}&`,
    lines: paged(
      rows.filter(({ line, sides, kind }) =>
        [line.name, sides, kind].join(' ').toLowerCase().includes(query.toLowerCase()),
      ),
      asked['page'],
    ),
    drawn,
    work: paged(property ? lineWorkOf(operation, property.id) : [], asked['page']),
    kinds: operation.lineKinds,
    form,
  };
}

export interface BlocksPage {
  shell: Shell;
  limits: SuggestionLimits;
  source: typeof suggestionLimitsDefault;
  suggestions: BlockSuggestion[];
  joined: { id: number; code: string; name: string; units: string }[];
  form: FormState;
}

/** Limits from the address; what is missing or no number is the default. */
export function limitsOf(query: Record<string, string | undefined>): SuggestionLimits {
  const { acresMost, sharePercentLeast, feetLeast } = suggestionLimitsDefault;
  const figure = (text: string | undefined, usual: number, most: number) => {
    const value = Number(text);
    return text?.trim() && value > 0 && value <= most ? value : usual;
  };
  return {
    acresMost: figure(query['acres'], acresMost, 100_000),
    sharePercentLeast: figure(query['share'], sharePercentLeast, 100),
    feetLeast: figure(query['feet'], feetLeast, 1_000_000),
  };
}

/** Pairs of blocks that one burn would serve, and blocks of several units that can be parted. */
export function blocksPage(
  deps: Deps,
  limits: SuggestionLimits,
  form: FormState = blankForm,
): BlocksPage {
  const operation = deps.operation();
  return {
    shell: shellOf(deps, 'more', 'Which units are worth one burn?'),
    limits,
    source: suggestionLimitsDefault,
    suggestions: suggestBlocks(operation, limits),
    joined: operation.blocks.flatMap((block) => {
      const units = unitsOf(operation, block);
      const { id, code, name } = block;
      const codes = units.map((unit) => unit.code).join(', ');
      return units.length > 1 ? [{ id, code, name, units: codes }] : [];
    }),
    form,
  };
}
