/** One folder's guards and the tests that must notice when they are changed. */
export interface MutantGroup {
  folder: string
  /** Globs from the project's root. */
  mutate: readonly string[]
  tests: readonly string[]
  /** ms after which a test that hangs is given up (default 30,000, and 20,000 for one that lets nothing else run). */
  patience?: number
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
    mutate: ['lib/derived/{board-graph,frozen-board,keep-equal,derived,long-answers,worked-out}.ts'],
    tests: ['tests/unit/derived/**/*.test.ts', 'tests/unit/card/today.test.ts'],
  },
  {
    folder: 'server/sync',
    mutate: ['server/sync/{guard,guard-rules,turn,commit,delivery,early,unsettled,untold}.ts'],
    // Those that are quick: properties and stock clients take seconds for each fault.
    tests: [
      'tests/unit/sync/{audit-trail,broadcast-message,early-accept,ended-clients,failing-disk,generation,guard,loss-notice,missed-refusals,moved-folder,presence,room,slow-phones}.test.ts',
      'tests/unit/sync/{comes-early,board-rules-early,delivery,group-commit,read-only-board,turn-batch,turn-order,turn-handshake}.test.ts',
      'tests/unit/sync/{guard-verdict,put-back,guard-budget,leaning-edits,server-edit,commit-under-way,sockets-under-way,unsettled}.test.ts',
    ],
  },
  {
    folder: 'app/sync',
    mutate: ['app/sync/{sync-client,room-client,client-store,idb-store,pending-keys,barriers}.ts'],
    // A promise that nothing resolves any more is the commonest fault here, and each would cost half a minute.
    patience: 8_000,
    // Those that are quick: restores and seasons take seconds for each fault.
    tests: [
      'tests/unit/app/{barriers,pending-keys,read-beside,while-asked,idb-store*,room-client*,sync-client*}.test.ts',
    ],
  },
]
