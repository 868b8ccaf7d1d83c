import { defineConfig } from 'vitest/config';

const zones = ['UTC', 'America/Chicago', 'Pacific/Auckland'];

/** Date-bound tests run once a zone of the process: civil dates must not depend on it. */
export default defineConfig({
  test: {
    projects: [
      ...zones.map((zone) => ({
        test: {
          name: `dates ${zone}`,
          include: ['tests/{core,feeds}/**/*.test.ts'],
          exclude: ['tests/core/schedule/**', 'tests/core/check/**'],
          env: { TZ: zone },
        },
      })),
      {
        test: {
          name: 'rest',
          include: ['tests/**/*.test.ts'],
          exclude: [
            'tests/core/!(schedule|check)/**',
            'tests/core/*.test.ts',
            'tests/feeds/**',
            'tests/browser/**',
            'tests/bench/**',
          ],
          testTimeout: 60_000,
          hookTimeout: 120_000,
        },
      },
      {
        test: {
          name: 'browser',
          include: ['tests/browser/**/*.test.ts'],
          testTimeout: 300_000,
          hookTimeout: 180_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
