import importX from 'eslint-plugin-import-x'
import reactHooks from 'eslint-plugin-react-hooks'
import tseslint from 'typescript-eslint'
import { walls } from './tests/lint/walls.mjs'

/** The house has rooms; each zone says which room may not reach into which, and why. */
const zone = (target, from, message, except) => ({ target, from, message, ...(except && { except }) })
const rooms = ['./app', './server', './drizzle', './tests', './demo']
const zones = [
  zone('./lib', rooms, 'lib runs in browser and Node and knows nobody who runs it'),
  zone('./lib/core', './lib', 'core imports nothing outside itself', ['./core']),
  zone('./lib/setup-math', './lib', 'setup-math is pure: it imports nothing outside itself', [
    './setup-math',
  ]),
  ...['board', 'join', 'sync'].map((r) =>
    zone(`./lib/${r}`, './lib', 'board, join and sync import core only', ['./core', `./${r}`]),
  ),
  zone('./lib/photo', './lib', 'photo reads pictures: it knows nothing of the board', ['./core', './photo']),
  zone('./lib/tables', './lib', 'tables reads any delimited text: it knows nothing of the board', [
    './core',
    './tables',
  ]),
  zone(
    './lib/archive',
    './lib',
    'archive names the parts of an archive: it knows rooms by their names alone',
    ['./core', './sync', './archive'],
  ),
  zone('./lib/lists', './lib', 'lists writes any collection as a table and reads it back', [
    './core',
    './board',
    './tables',
    './lists',
  ]),
  zone('./lib/kit-list', './lib', 'kit-list builds on board and tables', [
    './core',
    './board',
    './tables',
    './kit-list',
  ]),
  zone('./lib/running-order', './lib', 'running-order builds on board and tables', [
    './core',
    './board',
    './tables',
    './running-order',
  ]),
  zone('./lib/results', './lib', 'results builds on board, tables and running-order', [
    './core',
    './board',
    './tables',
    './running-order',
    './results',
  ]),
  zone('./lib/planner', './lib', 'planner builds on board and setup-math', [
    './core',
    './board',
    './setup-math',
    './planner',
  ]),
  zone('./lib/derived', './lib', 'derived is the board as a graph of signals: it builds on board alone', [
    './core',
    './board',
    './derived',
  ]),
  zone(
    './lib/standings',
    './lib',
    'standings is pure: it knows rules and results, and nothing of the board',
    ['./core', './standings'],
  ),
  zone('./lib/learning', './lib', 'learning is pure: it builds on setup-math alone', [
    './core',
    './setup-math',
    './learning',
  ]),
  zone('./lib/card', './lib', 'card builds on board, derived, setup-math, learning, planner and standings', [
    './core',
    './board',
    './derived',
    './setup-math',
    './learning',
    './planner',
    './standings',
    './card',
  ]),
  zone('./lib/suggestions', './lib', 'suggestions are made of cards and what was learned', [
    './core',
    './board',
    './setup-math',
    './learning',
    './card',
    './suggestions',
  ]),
  zone('./lib/season', './lib', 'season is what the cards of many meetings say together', [
    './core',
    './board',
    './setup-math',
    './card',
    './season',
  ]),
  zone(
    './app',
    ['./server', './drizzle', './tests', './demo'],
    'app talks to the server over HTTP and the socket only',
  ),
  zone('./server', ['./app', './tests'], 'server never reaches into screens'),
  zone('./drizzle', ['./app', './server', './tests', './demo'], 'drizzle imports lib types only'),
  ...['sync/guard', 'sync/room'].map((f) =>
    zone(`./server/${f}.ts`, './drizzle', 'the database is queried only in server/storage and server/join'),
  ),
  zone('./demo', ['./app', './tests'], 'the demo uses what a user could use'),
]

export default tseslint.config(
  {
    ignores: [
      'node_modules/',
      '.next/',
      '.data/',
      '.shots/',
      '.test/',
      'next-env.d.ts',
      'drizzle/migrations/',
    ],
  },
  ...tseslint.configs.strict,
  {
    plugins: { 'import-x': importX, 'react-hooks': reactHooks, house: { rules: { walls } } },
    settings: {
      'import-x/parsers': { '@typescript-eslint/parser': ['.ts', '.tsx'] },
      'import-x/resolver-next': [
        importX.createNodeResolver({
          extensions: ['.ts', '.tsx', '.mjs', '.js', '.json'],
          alias: { '@': [import.meta.dirname] },
        }),
      ],
    },
    rules: {
      'import-x/no-restricted-paths': ['error', { zones }],
      'house/walls': 'error',
      'react-hooks/rules-of-hooks': 'error',
      'react-hooks/exhaustive-deps': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': [
        'error',
        { argsIgnorePattern: '^_', varsIgnorePattern: '^_', caughtErrorsIgnorePattern: '^_' },
      ],
      '@typescript-eslint/no-invalid-void-type': 'off',
      'max-lines': ['error', { max: 400, skipBlankLines: true, skipComments: true }],
      'no-console': ['error', { allow: ['error', 'warn'] }],
    },
  },
  {
    // Rules that ask the type checker; tests await by themselves, and lint stays quick without them.
    files: ['app/**/*.{ts,tsx}', 'lib/**/*.ts', 'server/**/*.ts'],
    ignores: ['**/*.d.mts'],
    languageOptions: { parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname } },
    rules: {
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': 'error',
      '@typescript-eslint/no-unnecessary-condition': 'error',
      '@typescript-eslint/no-unnecessary-type-assertion': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': [
        'error',
        { considerDefaultExhaustiveForUnions: true },
      ],
    },
  },
  { files: ['**/*.mjs', 'demo/**', 'tests/**', 'server/**'], rules: { 'no-console': 'off' } },
  {
    files: ['tests/**'],
    rules: { '@typescript-eslint/no-non-null-assertion': 'off', 'max-lines': ['error', 600] },
  },
)
