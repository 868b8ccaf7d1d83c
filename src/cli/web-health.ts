import { statSync } from 'node:fs';
import { utcSeconds } from '../storage/changes.ts';
import type { Deps } from '../web/deps.ts';
import type { BackupKeeping } from './backup.ts';
import { findingsOf } from './findings.ts';
import type { OperationFile } from './operation-file.ts';
import { programVersion } from './version.ts';

const mebibytes = (bytes: number): number => Math.round(bytes / 1024 ** 2);

/** What the pages say of the program and the machine. `path`: the database; `backups`: the daily ones of this server. */
export function webHealth(
  file: OperationFile,
  path: string,
  backups: BackupKeeping,
): Deps['health'] {
  const startedAt = utcSeconds(() => new Date());
  return {
    ask: () => {
      file.store.revision();
    },
    findings: () => {
      const failure = backups.failure();
      const findings = findingsOf(path, file, new Date());
      if (failure === null) return findings;
      return [
        {
          key: 'backup',
          found: 'The last try to make a backup failed.',
          todo: `Look in the server's log. It said: ${failure.replaceAll(/(\/[^\s/:]+)+\//g, '')}`,
        },
        ...findings,
      ];
    },
    running: () => ({
      version: programVersion,
      nodeVersion: process.versions.node,
      startedAt,
      databaseMebibytes: mebibytes(statSync(path).size),
      memoryMebibytes: mebibytes(process.memoryUsage.rss()),
    }),
  };
}
