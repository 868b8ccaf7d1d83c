import type { Property } from '../core/properties.ts';
import { UsageError } from './arguments.ts';
import type { OperationFile } from './operation-file.ts';

/** The property of a name or number; throws UsageError with the names that there are. */
export function propertyNamed(file: OperationFile, name: string): Property {
  const { properties } = file.operation();
  const property = properties.find((one) => one.name === name || String(one.id) === name);
  if (property) return property;
  const names = properties.map((one) => one.name).join(', ') || 'none yet';
  throw new UsageError(`There is no property "${name}"; there is: ${names}.`);
}
