import { ok, refuse, type Result } from '../core/result'

/** Fills a fresh array with unpredictable bytes; comes from outside so that this room holds no secrets. */
export type RandomBytes = (length: number) => Uint8Array

/**
 * Digits and lower-case letters without i, l, o and u: 32 of them, 5 bits each. What people write for one another is read as what was meant:
 * o as 0, i and l as 1.
 */
export const CODE_ALPHABET = '0123456789abcdefghjkmnpqrstvwxyz'
/**
 * 32^16 codes: 80 bits. A right code is always looked at, so the length alone has to make guessing hopeless: at 10,000 guesses a second, more
 * than this server answers, an invitation that is open for its longest month is found with a chance of 2e-14. From a stolen database, which
 * holds SHA-256 hashes, 1e10 guesses a second (what one graphics processor does, from memory) take 2 million years for half the codes.
 */
export const CODE_LENGTH = 16
const GROUP = 4

/** What earlier versions handed out: 10 of 31 letters and digits, 49.5 bits. Such invitations work until they expire, a month at most. */
const EARLIER_CODE = /^[2-9a-hjkmnp-z]{10}$/

/** A new join code. Every code is equally likely: 256 byte values are 8 times the alphabet. */
export function makeJoinCode(random: RandomBytes): string {
  let code = ''
  for (const b of random(CODE_LENGTH)) code += CODE_ALPHABET.charAt(b % CODE_ALPHABET.length)
  return code
}

const JOIN_CODE = { what: 'Join code', how: 'Scan the QR code again, or type' }

/** What a person typed, as a code: case, spaces and dashes don't matter, nor letters written for digits that look like them. */
export function readJoinCode(typed: string, of: { what: string; how: string } = JOIN_CODE): Result<string> {
  const plain = typed.toLowerCase().replace(/[\s\p{Dash}]/gu, '')
  if (EARLIER_CODE.test(plain)) return ok(plain)
  const code = plain.replace(/o/g, '0').replace(/[il]/g, '1')
  const fits = code.length === CODE_LENGTH && [...code].every((c) => CODE_ALPHABET.includes(c))
  // The offered value stays out of the refusal: a mistyped code is still most of a secret.
  return fits
    ? ok(code)
    : refuse(
        of.what,
        '',
        code.length === CODE_LENGTH
          ? `it must be ${CODE_LENGTH} letters and digits`
          : `it must be ${CODE_LENGTH} letters and digits, and has ${code.length}`,
        `${of.how} the code exactly as shown (it never has the letters i, l, o or u).`,
      )
}

/** The code as it is easiest to read out and type. @example showJoinCode('abcdefgh01234567') // 'ABCD-EFGH-0123-4567' */
export const showJoinCode = (code: string): string =>
  (code.match(new RegExp(`.{1,${GROUP}}`, 'g')) ?? []).join('-').toUpperCase()

/** The link behind a QR code. The code is in the fragment, which browsers keep to themselves: no log ever holds it. */
export const joinLink = (origin: string, code: string): string => `${origin}/join#${code}`
