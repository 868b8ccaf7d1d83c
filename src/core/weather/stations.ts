/** A place on the globe in degrees, west and south negative. */
export interface Place {
  latitude: number;
  longitude: number;
}

/** Great-circle distance in miles on a sphere of 3958.8 miles radius (haversine); good to half a per cent. */
export function milesBetween(a: Place, b: Place): number {
  const radians = Math.PI / 180;
  const half =
    Math.sin(((b.latitude - a.latitude) * radians) / 2) ** 2 +
    Math.cos(a.latitude * radians) *
      Math.cos(b.latitude * radians) *
      Math.sin(((b.longitude - a.longitude) * radians) / 2) ** 2;
  return 2 * 3958.8 * Math.asin(Math.sqrt(Math.min(1, half)));
}

/** The nearest of several stations; of the same distance the first by name. Null without any. */
export function nearestOf<T extends Place & { name: string }>(
  stations: readonly T[],
  place: Place,
): T | null {
  const near = stations
    .map((station) => ({ station, miles: milesBetween(place, station) }))
    .sort((a, b) => a.miles - b.miles || (a.station.name < b.station.name ? -1 : 1));
  return near[0]?.station ?? null;
}
