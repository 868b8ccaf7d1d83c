import type { Deps, Finding, RunningProgram } from '../deps.ts';
import { type Shell, shellOf } from './shell.ts';

export interface HealthPage {
  shell: Shell;
  findings: Finding[];
  todoCount: number;
  running: RunningProgram;
}

/** What the page about this server shows. */
export function healthPage(deps: Deps): HealthPage {
  const findings = deps.health.findings();
  return {
    shell: shellOf(deps, 'more', 'Is the server well?'),
    findings,
    todoCount: findings.filter(({ todo }) => todo).length,
    running: deps.health.running(),
  };
}
