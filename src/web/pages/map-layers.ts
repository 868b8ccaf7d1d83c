import { type MapLayer, mapLayerKinds } from '../../core/map-layers.ts';
import type { Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import { layerNames } from './map-drawing.ts';
import { type Shell, shellOf } from './shell.ts';

export interface MapLayersPage {
  shell: Shell;
  property: { id: number; name: string } | null;
  properties: { name: string; path: string; isOn: boolean }[];
  layers: { id: number; name: string; kind: string; stretches: number; corners: number }[];
  kinds: { key: string; name: string }[];
  form: FormState;
  /** What the last file brought; null before one. */
  taken: { stretches: number; leftOut: number } | null;
}

/** Layers of files on the map of a property, and the form to bring one in. Throws 404 for a property that is not there. */
export function mapLayersPage(
  deps: Deps,
  propertyId: string,
  outcome: { form?: FormState; taken?: MapLayersPage['taken'] } = {},
): MapLayersPage {
  const { properties, mapLayers } = deps.operation();
  const property =
    propertyId === ''
      ? (properties[0] ?? null)
      : (properties.find(({ id }) => String(id) === propertyId) ?? null);
  if (propertyId !== '' && !property) throw new PageError(404, 'There is no such property.');
  const own = mapLayers.filter((layer) => layer.propertyId === property?.id);
  const cornersOf = ({ stretches }: MapLayer) =>
    stretches.reduce((sum, { path }) => sum + path.length, 0);
  return {
    shell: shellOf(deps, 'more', 'Roads, creeks and contours on the map'),
    property: property && { id: property.id, name: property.name },
    properties: properties.map(({ id, name }) => ({
      name,
      path: `/map/layers?property=${id}`,
      isOn: id === property?.id,
    })),
    layers: own.map((layer) => ({
      id: layer.id,
      name: layer.name,
      kind: layerNames[layer.kind],
      stretches: layer.stretches.length,
      corners: cornersOf(layer),
    })),
    kinds: mapLayerKinds.map((key) => ({ key, name: layerNames[key] })),
    form: outcome.form ?? blankForm,
    taken: outcome.taken ?? null,
  };
}

export interface MapPicturesPage {
  shell: Shell;
  form: FormState;
  isOn: boolean;
}

/** The server that pictures under the map come from; none until somebody enters one. */
export function mapPicturesPage(deps: Deps, form?: FormState): MapPicturesPage {
  const service = deps.operation().tileServices[0];
  const values = { address: service?.address ?? '', attribution: service?.attribution ?? '' };
  return {
    shell: shellOf(deps, 'more', 'Shall pictures from a server lie under the map?'),
    form: form ?? { values, problems: [] },
    isOn: values.address !== '',
  };
}
