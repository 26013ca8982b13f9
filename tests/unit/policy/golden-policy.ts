import { readFileSync } from 'node:fs'

/** What the hand-written statement allows a role to write. */
export type Word =
  | 'never'
  | 'always'
  | 'own record'
  | 'own car'
  | 'unsigned'
  | 'own car unsigned'
  | 'once'
  | 'no car yet unsigned'

/** `collection.field` to the word for each role. `fieldsOf` says which fields a star stands for. */
export function readGoldenPolicy(
  fieldsOf: (collection: string) => readonly string[],
): Map<string, Map<string, Word>> {
  const golden = new Map<string, Map<string, Word>>()
  let collection = ''
  for (const line of readFileSync(new URL('golden-policy.txt', import.meta.url), 'utf8').split('\n')) {
    if (line.startsWith('#') || line.trim() === '') continue
    if (!line.startsWith(' ')) {
      collection = line.trim()
      continue
    }
    const [names = '', who = ''] = line.trim().split(': ')
    const words = new Map<string, Word>()
    if (who !== 'nobody')
      for (const part of who.split(', ')) {
        const [role = '', ...word] = part.split(' ')
        words.set(role, word.join(' ') as Word)
      }
    for (const field of names === '*' ? fieldsOf(collection) : names.split(' ')) {
      if (golden.has(`${collection}.${field}`)) throw new Error(`${collection}.${field} is said twice`)
      golden.set(`${collection}.${field}`, words)
    }
  }
  return golden
}
