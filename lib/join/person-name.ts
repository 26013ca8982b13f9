import { nameFault, personNameFault, plainName } from '../core/clean-name'
import { ok, refuse, type Result } from '../core/result'
import { LOOKS_LIKE } from './look-alikes'

/** A person's name as typed, trimmed, with single spaces, in Unicode's composed form. */
export function readPersonName(typed: string): Result<string> {
  const name = plainName(typed)
  // Judged as typed, too: a line break would be gone otherwise.
  const fault = nameFault(typed) ?? personNameFault(name)
  if (fault === null) return ok(name)
  if (fault === 'is blank') return refuse('Name', '', 'it is blank', 'Enter the name the crew knows you by.')
  if (fault.startsWith('is longer'))
    return refuse('Name', `${[...name].slice(0, 40).join('')}…`, `it ${fault}`, 'Shorten it.')
  return refuse('Name', '', `it ${fault}`, 'Type the name again.')
}

const IGNORABLE = /\p{Default_Ignorable_Code_Point}/gu
/** Accents. Vowel signs of other scripts are letters to their readers, and stay. */
const ACCENTS = /[\u0300-\u036f]/g

/** What a name looks like: the skeleton of UTS #39, section 4, by a part of its table. Not for people to read. */
function skeleton(text: string): string {
  const decomposed = text.normalize('NFD').replace(IGNORABLE, '')
  return [...decomposed]
    .map((c) => LOOKS_LIKE.get(c) ?? c)
    .join('')
    .normalize('NFD')
}

/**
 * What a name is told by, beyond what UTS #39 asks: capitals, accents and spaces don't tell two people apart either. Two keys, since
 * letters look alike in one case only (I and l; an Ilse is also an ilse).
 */
function nameKeys(name: string): readonly [string, string] {
  const keys = remembered.get(name)
  if (keys) return keys
  // Accents go first: the table has letters with a stroke or a tail made into others.
  const bare = name.normalize('NFKD').replace(ACCENTS, '').replace(/\s+/gu, '')
  const made = [skeleton(bare).toLowerCase(), skeleton(bare.toLowerCase())] as const
  if (remembered.size >= MOST_REMEMBERED) remembered.clear()
  remembered.set(name, made)
  return made
}
const MOST_REMEMBERED = 2_000
const remembered = new Map<string, readonly [string, string]>()

/** Whether two names would be taken for the same by people reading them: same letters, or letters that look the same. */
export function sameName(a: string, b: string): boolean {
  const [x1, x2] = nameKeys(a)
  const [y1, y2] = nameKeys(b)
  return x1 === y1 || x2 === y2 || x1 === y2 || x2 === y1
}
