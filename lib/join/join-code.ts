import { ok, refuse, type Result } from '../core/result'

/** Fills a fresh array with unpredictable bytes; comes from outside so that this room holds no secrets. */
export type RandomBytes = (length: number) => Uint8Array

/** Lower-case letters and digits without the pairs people mix up on paper (0/o, 1/i/l). */
export const CODE_ALPHABET = '23456789abcdefghjkmnpqrstuvwxyz'
/** 31^10 codes: 49.5 bits. With attempts slowed as in attempt-throttle.ts, guessing one takes longer than any invitation lives. */
export const CODE_LENGTH = 10

/** A new join code. Every code is equally likely: bytes that would favour some letters are thrown away. */
export function makeJoinCode(random: RandomBytes): string {
  const usable = 256 - (256 % CODE_ALPHABET.length)
  let code = ''
  while (code.length < CODE_LENGTH)
    for (const b of random(CODE_LENGTH))
      if (b < usable && code.length < CODE_LENGTH) code += CODE_ALPHABET.charAt(b % CODE_ALPHABET.length)
  return code
}

/** What a person typed, as a code: case, spaces and dashes don't matter. */
export function readJoinCode(typed: string): Result<string> {
  const code = typed.toLowerCase().replace(/[\s-]/g, '')
  const fits = code.length === CODE_LENGTH && [...code].every((c) => CODE_ALPHABET.includes(c))
  // The offered value stays out of the refusal: a mistyped code is still most of a secret.
  return fits
    ? ok(code)
    : refuse(
        'Join code',
        '',
        `it is not ${CODE_LENGTH} letters and digits of a join code`,
        'Scan the QR code again, or type the code as it stands on the invitation (it never holds 0, 1, i, l or o).',
      )
}

/** The code as it is easiest to read out and type. @example showJoinCode('abcdefghjk') // 'ABCDE-FGHJK' */
export const showJoinCode = (code: string): string =>
  `${code.slice(0, CODE_LENGTH / 2)}-${code.slice(CODE_LENGTH / 2)}`.toUpperCase()

/** The link behind a QR code. The code is in the fragment, which browsers keep to themselves: no log ever holds it. */
export const joinLink = (origin: string, code: string): string => `${origin}/join#${code}`
