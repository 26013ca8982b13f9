import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { COLLECTIONS, mayWrite, type FieldChange, type PolicyContext } from '@/lib/board'
import { ok } from '@/lib/core/result'
import type { Role } from '@/lib/core/role'
import { boardRules, type GuardRules } from '@/server/sync/guard-rules'
import { readGoldenPolicy, type Word } from './golden-policy'
import { allFieldsOf, policyMatrix } from './policy-matrix'

const golden = readGoldenPolicy(allFieldsOf)
const wordOf = (collection: string, field: string, role: Role): Word =>
  golden.get(`${collection}.${field}`)?.get(role) ?? 'never'
const collections = [...Object.keys(COLLECTIONS.kit), ...Object.keys(COLLECTIONS.meeting)]

test('[S4] the policy as said by hand names every field of every collection, and no other', () => {
  const fields = collections.flatMap((c) => allFieldsOf(c).map((f) => `${c}.${f}`))
  expect([...golden.keys()].sort()).toEqual(fields.sort())
})

test('[S4] the server takes and refuses what the policy as said by hand says, for every role, field, owner and signature', () => {
  const { tried, differences } = policyMatrix(wordOf)
  expect(differences).toEqual([])
  expect(tried).toBeGreaterThan(2_000)
}, 600_000)

test('[S4] the printed table says what is said by hand', () => {
  const words: Record<Word, string> = {
    never: '–',
    always: 'any',
    'own record': 'themselves',
    'own car': 'own car',
    unsigned: 'not signed by another',
    'own car unsigned': 'own car, not signed by another',
    once: 'once',
    // The table has the scope; that a driver moves nothing between cars is the rule below it.
    'no car yet unsigned': 'not signed by another',
  }
  const text = readFileSync('lib/board/POLICY.md', 'utf8')
  const printed = new Map<string, string>()
  let collection = ''
  for (const line of text.split('\n')) {
    collection = /^## \w+: (\w+)/.exec(line)?.[1] ?? collection
    const cells = line.split('|').map((c) => c.trim())
    if (line.startsWith('|') && cells[1] !== 'field' && !cells[1]?.startsWith('-'))
      printed.set(`${collection}.${cells[1]?.replace(' (signed)', '')}`, cells.slice(2, 5).join(' | '))
  }
  const said = [...golden].map(([field, roles]): [string, string] => [
    field,
    (['manager', 'mechanic', 'driver'] as const).map((r) => words[roles.get(r) ?? 'never']).join(' | '),
  ])
  expect(Object.fromEntries(printed)).toEqual(Object.fromEntries(said))
})

const planted: [string, (ctx: PolicyContext, c: FieldChange) => ReturnType<typeof mayWrite>][] = [
  ['signatures are not looked at', (ctx, c) => mayWrite(ctx, { ...c, before: undefined })],
  ['any driver says the result', (ctx, c) => (c.field === 'result' ? ok(undefined) : mayWrite(ctx, c))],
  ['a guest writes notes', (ctx, c) => (c.collection === 'notes' ? ok(undefined) : mayWrite(ctx, c))],
  [
    'what a signature is about is anybody’s',
    (ctx, c) => (c.field === 'parameter' && ctx.role !== 'guest' ? ok(undefined) : mayWrite(ctx, c)),
  ],
  [
    'names are anybody’s',
    (ctx, c) => mayWrite(c.field === 'name' ? { ...ctx, personId: c.recordId } : ctx, c),
  ],
  [
    'a proposal is moved to be decided',
    (ctx, c) => {
      if (c.collection !== 'proposals' || ctx.role !== 'driver') return mayWrite(ctx, c)
      const { before: _, ...alone } = ctx
      return c.field === 'carId' ? ok(undefined) : mayWrite(alone, c)
    },
  ],
]
test.each(planted)(
  '[S4] the matrix sees a planted fault: %s',
  (_, judge) => {
    const rules: GuardRules = { ...boardRules, mayWrite: judge }
    expect(policyMatrix(wordOf, rules, true).differences.length).toBeGreaterThan(0)
  },
  600_000,
)
