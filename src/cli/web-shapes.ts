import { joinBlocks, partBlock } from '../core/blocks-joined.ts';
import { coverOf, cutBoundary, roughAcres, unionOf } from '../core/boundary-cuts.ts';
import { hundredths, type LandChange, shapeProblem, sharedOut } from '../core/land-change.ts';
import { drawLines } from '../core/line-work.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { placeOfTask } from '../core/tasks.ts';
import { type MergedShape, mergeUnits } from '../core/unit-merge.ts';
import { splitUnit, type UnitPart } from '../core/unit-split.ts';
import type { Boundary, Unit } from '../core/units.ts';
import { readParts } from '../exchange/geojson-parts.ts';
import { measureBoundary } from '../exchange/measure.ts';
import type { Deps, ShapeChange } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { tryChange } from './trial.ts';

type Split = Extract<ShapeChange, { kind: 'split' }>;

/** Boundaries pasted for parts: in the order of the parts, or by their codes. They must be the unit, cut. */
function pastedParts(split: Split, unit: Unit, text: string): Outcome<Boundary[]> {
  const read = readParts(text);
  if (!read.ok)
    return { ok: false, problems: read.problems.map((one) => ({ ...one, field: 'text' })) };
  const count = split.parts.length;
  const refuse = (message: string): Outcome<Boundary[]> => ({
    ok: false,
    problems: [shapeProblem('split-pasted', message, 'text')],
  });
  if (read.value.length !== count)
    return refuse(`Boundaries: there are ${read.value.length}, and ${count} parts; give one each.`);
  const byCode = split.parts.map(({ code }) => read.value.find((one) => one.code === code));
  const found = byCode.every((one) => one !== undefined) ? byCode : read.value;
  const boundaries = found.map((one) => one!.boundary);
  if (!unit.boundary) return { ok: true, value: boundaries };
  const { outsideAcres, doubleAcres, missingAcres } = coverOf(unit.boundary, boundaries);
  const most = Math.max(0.05, roughAcres(unit.boundary) / 100);
  const acres = (value: number) => `${hundredths(value)} acres`;
  if (outsideAcres > most)
    return refuse(`Boundaries: ${acres(outsideAcres)} lie outside ${unit.code}; trim them.`);
  if (doubleAcres > most)
    return refuse(`Boundaries: ${acres(doubleAcres)} lie in two parts; mend the common edge.`);
  if (missingAcres > most)
    return refuse(`Boundaries: ${acres(missingAcres)} of ${unit.code} are in no part; add them.`);
  return { ok: true, value: boundaries };
}

function boundariesOf(split: Split, unit: Unit): Outcome<Boundary[] | null> {
  const { cut } = split;
  if (cut.by === 'none') return { ok: true, value: null };
  if (cut.by === 'text') return pastedParts(split, unit, cut.text);
  if (split.parts.length !== 2) {
    const message =
      'Parts: one line makes 2 parts. Split a part again for more, or paste boundaries.';
    return { ok: false, problems: [shapeProblem('cut-two', message)] };
  }
  const sides = unit.boundary && cutBoundary(unit.boundary, cut.from, cut.to);
  if (sides) return { ok: true, value: sides };
  const message = `Line: it does not cut ${unit.code} in two; pick points on two sides of it.`;
  return { ok: false, problems: [shapeProblem('cut-misses', message, 'from')] };
}

/** Parts with their outlines measured; acres left blank are shared out as the map shows. */
function partsOf(split: Split, unit: Unit): Outcome<UnitPart[]> {
  const drawn = boundariesOf(split, unit);
  if (!drawn.ok) return drawn;
  const measured = drawn.value?.map(measureBoundary);
  const byMap =
    measured &&
    sharedOut(
      unit.areaAcres,
      measured.map(({ acres }) => acres),
    );
  const problems: Problem[] = [];
  const parts = split.parts.map(({ code, name, areaAcres }, at): UnitPart => {
    const own = areaAcres ?? byMap?.[at];
    if (own === undefined) {
      const message = `Acres of part ${at + 1}: write them; without a map they are not known.`;
      problems.push(shapeProblem('split-acres', message, `acres${at + 1}`));
    }
    return {
      code,
      name,
      areaAcres: own ?? 0,
      boundary: drawn.value?.[at] ?? null,
      measuredAcres: measured?.[at]?.acres ?? null,
      perimeterFeet: measured?.[at]?.perimeterFeet ?? null,
    };
  });
  return problems.length > 0 ? { ok: false, problems } : { ok: true, value: parts };
}

function mergedShape(units: readonly Unit[]): MergedShape | null {
  const boundaries = units.flatMap((unit) => unit.boundary ?? []);
  const boundary = boundaries.length === units.length ? unionOf(boundaries) : null;
  if (!boundary) return null;
  const { acres, perimeterFeet } = measureBoundary(boundary);
  return { boundary, measuredAcres: acres, perimeterFeet };
}

function nameOf(change: ShapeChange, file: OperationFile): string {
  const { units, blocks, properties } = file.operation();
  const code = (rows: readonly { id: number; code: string }[], id: number) =>
    rows.find((row) => row.id === id)?.code ?? '';
  switch (change.kind) {
    case 'split':
      return `Unit ${code(units, change.unitId)} was split.`;
    case 'merge':
      return `Units ${[change.keepId, ...change.otherIds].map((id) => code(units, id)).join(', ')} were merged.`;
    case 'join':
      return `Blocks ${code(blocks, change.keepId)} and ${code(blocks, change.otherId)} became one.`;
    case 'part':
      return `Block ${code(blocks, change.blockId)} was parted.`;
    case 'lines':
      return `Lines of ${properties.find((row) => row.id === change.propertyId)?.name ?? 'a property'} were drawn from the edges.`;
  }
}

function make(file: OperationFile, change: ShapeChange): Outcome<LandChange> {
  const { store } = file;
  const operation = file.operation();
  const today = (propertyId: number | undefined) =>
    file.today(operation.properties.find((one) => one.id === propertyId)?.timeZone);
  return store.changeLand(nameOf(change, file), (land, { next, retiredBlocks }) => {
    switch (change.kind) {
      case 'split': {
        const unit = land.units.find((one) => one.id === change.unitId);
        const parts: Outcome<UnitPart[]> = unit ? partsOf(change, unit) : { ok: true, value: [] };
        if (!parts.ok) return parts;
        return splitUnit(land, { ...change, parts: parts.value }, today(unit?.propertyId), next);
      }
      case 'merge': {
        const ids = [change.keepId, ...change.otherIds];
        const units = land.units.filter((unit) => ids.includes(unit.id));
        const { treatments } = operation;
        return mergeUnits(
          land,
          treatments,
          change,
          mergedShape(units),
          today(units[0]?.propertyId),
        );
      }
      case 'join':
        return joinBlocks(land, change.keepId, change.otherId);
      case 'part':
        return partBlock(land, change.blockId, retiredBlocks, next);
      case 'lines':
        return drawLines(land, change.propertyId, next);
    }
  });
}

/** Units split and merged, blocks made and undone, lines drawn from edges. */
export function webShapes(file: OperationFile): Deps['shapes'] {
  return {
    preview: (change) => {
      const { value, breaks, vanishing } = tryChange(file, () => make(file, change));
      if (!value.ok) return value;
      const operation = file.operation();
      const tasks = vanishing.map((task) => {
        const { unit, block } = placeOfTask(operation, task);
        return {
          name: `${task.name}, ${unit === '' ? block : unit}`,
          startsOn: task.startsOn,
          lastDay: task.lastDay,
        };
      });
      return { ok: true, value: { ...value.value, breaks, vanishing: tasks } };
    },
    save: (change) => {
      const outcome = file.store.inOneTransaction(() => {
        const made = make(file, change);
        if (made.ok) file.publish();
        return made;
      });
      return outcome.ok ? [] : outcome.problems;
    },
  };
}
