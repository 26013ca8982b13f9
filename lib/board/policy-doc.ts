import { collectionNames, type DocKind } from './collections'
import { collectionDef, type Owner } from './ownership'
import { grantFor, rulesFor, type Scope } from './policy'
import { SIGNED_RULES, WRITE_RULES } from './write-rules'

const SCOPES: Record<Scope, string> = {
  any: 'any',
  'own-car': 'own car',
  self: 'themselves',
  'own-sign': 'not signed by another',
  'own-car-sign': 'own car, not signed by another',
  once: 'once',
}
const WRITERS = ['manager', 'mechanic', 'driver'] as const

function ownerText(owner: Owner): string {
  if ('person' in owner) return 'A record is the person of its id.'
  const { car } = owner
  if (typeof car === 'object') return `A record belongs to the car that its \`${car.field}\` names.`
  return {
    id: 'A record is the car of its id.',
    head: 'A record belongs to the car that its id begins with.',
    run: 'A record belongs to the car of the entry with its id.',
    'run-or-head': 'A record belongs to the car of the entry that its id begins with, or to the car itself.',
  }[car]
}

/** The write policy as a document: every field of every collection, and who may write it. `POLICY.md` is this text. */
export function policyDoc(): string {
  const out = [
    '# Who may write what',
    '',
    'Printed from `policy.ts` and the collections by `npm run policy`; a test fails when it is out of date. Guests write nothing.',
    '',
    'What a role may: **any** record; only records of its **own car** (a car the person drives, before the change and after it); only **themselves**;',
    'what is **not signed by another** (neither the field nor a signed field that it gives its meaning to); **once** (who wrote it may empty it).',
    '',
    'Every signed field keeps these rules:',
    '',
    ...SIGNED_RULES.map((r) => `- ${WRITE_RULES[r].says}`),
    '',
  ]
  for (const doc of ['kit', 'meeting'] as const)
    for (const collection of collectionNames(doc)) out.push(...collectionText(doc, collection))
  return out.join('\n')
}

function collectionText(doc: DocKind, collection: string): string[] {
  const def = collectionDef(doc, collection)
  if (!def) return []
  const lines = [`## ${doc}: ${collection}`, '']
  if (def.owner) lines.push(ownerText(def.owner), '')
  lines.push('| field | manager | mechanic | driver |', '| --- | --- | --- | --- |')
  for (const [field, { signed }] of Object.entries(def.fields)) {
    const grant = grantFor(doc, collection, field) ?? {}
    const cells = WRITERS.map((role) => {
      const scope = grant[role]
      return scope ? SCOPES[scope] : '–'
    })
    lines.push(`| ${field}${signed ? ' (signed)' : ''} | ${cells.join(' | ')} |`)
  }
  lines.push('')
  for (const [field, under] of Object.entries(def.under ?? {}))
    lines.push(`- \`${field}\` gives ${under.map((u) => `\`${u}\``).join(', ')} its meaning.`)
  for (const field of Object.keys(def.fields))
    for (const rule of rulesFor(doc, collection, field))
      lines.push(`- \`${field}\`: ${WRITE_RULES[rule].says}`)
  if (lines.at(-1) !== '') lines.push('')
  return lines
}
