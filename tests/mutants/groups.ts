/** One folder's guards and the tests that must notice when they are changed. */
export interface MutantGroup {
  folder: string
  /** Globs from the project's root. */
  mutate: readonly string[]
  tests: readonly string[]
}

/** Least share of planted faults that the tests of a folder notice, percent. */
export const GOAL = 85

export const GROUPS: readonly MutantGroup[] = [
  {
    folder: 'lib/board',
    mutate: ['lib/board/{guard-rules,write-rules,ownership,has-grant,rule-closing,read-back}.ts'],
    tests: [
      'tests/unit/policy/{guard-rules,write-rules,policy-doc}.test.ts',
      'tests/unit/card/read-back.test.ts',
    ],
  },
  {
    folder: 'lib/card',
    mutate: [
      'lib/card/staging/{run-digest,digest,facts}.ts',
      'lib/card/loose-ends/{run-loose-ends,conflict-loose-ends}.ts',
    ],
    tests: [
      'tests/unit/card/{run-digest,race-day,read-back,facts}.test.ts',
      'tests/unit/card/{run,conflict}-loose-ends.test.ts',
    ],
  },
  {
    folder: 'lib/derived',
    mutate: ['lib/derived/{board-graph,frozen-board,keep-equal,derived}.ts'],
    tests: ['tests/unit/derived/**/*.test.ts', 'tests/unit/card/today.test.ts'],
  },
  {
    folder: 'server/sync',
    mutate: ['server/sync/{guard,guard-rules,turn,commit,delivery,early}.ts'],
    tests: ['tests/unit/sync/**/*.test.ts'],
  },
  {
    folder: 'app/sync',
    mutate: ['app/sync/{sync-client,room-client,client-store,idb-store,pending-keys,barriers}.ts'],
    tests: [
      'tests/unit/app/{barriers,idb-store,read-beside,restore,restore-rooms,season-work,start-anew}.test.ts',
      'tests/unit/app/{room-client,sync-client}*.test.ts',
    ],
  },
]
