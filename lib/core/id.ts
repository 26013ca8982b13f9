/** Ids are branded so that a pack's id cannot be passed where a car's is asked. */
export type Id<Kind extends string> = string & { readonly __kind: Kind }

const ALPHABET = '23456789abcdefghjkmnpqrstuvwxyz'
const ID_LENGTH = 12

/**
 * A new random id: 12 characters of a 31-letter alphabet without look-alikes (about 59 bits).
 * Contains neither `:` nor `.`, which the board's flat keys use as separators.
 */
export function newId<Kind extends string>(): Id<Kind> {
  const bytes = new Uint8Array(ID_LENGTH)
  globalThis.crypto.getRandomValues(bytes)
  let id = ''
  for (const b of bytes) id += ALPHABET[b % ALPHABET.length]
  return id as Id<Kind>
}

/** Whether a string can serve as (part of) a record id on the board. */
export const isIdText = (s: string): boolean => /^[A-Za-z0-9_-]{1,64}$/.test(s)

/** Whether a string looks as `newId` makes them: the ids of records that people made. */
export const isNewId = (s: string): boolean =>
  s.length === ID_LENGTH && [...s].every((letter) => ALPHABET.includes(letter))
