import { analyse } from 'chardet'
import { ok, refuse, type Result } from '../core/result'

/** A day's running order is some tens of kilobytes; anything near this size is another kind of file. */
export const MAX_FILE_BYTES = 2 * 1024 * 1024

/** What a person can choose from when the encoding was found wrong. Labels of the Encoding Standard. */
export const ENCODINGS = [
  'utf-8',
  'utf-16le',
  'utf-16be',
  'windows-1252',
  'windows-1250',
  'windows-1251',
  'windows-1253',
  'windows-1254',
  'windows-1257',
  'shift_jis',
] as const
export type Encoding = (typeof ENCODINGS)[number]

export interface DecodedText {
  /** Without byte order mark; every line break is `\n`. */
  text: string
  encoding: string
  /** How the encoding was found. */
  foundBy: 'mark' | 'bytes' | 'guess' | 'choice'
}

const MARKS: { encoding: Encoding; bytes: number[] }[] = [
  { encoding: 'utf-8', bytes: [0xef, 0xbb, 0xbf] },
  { encoding: 'utf-16le', bytes: [0xff, 0xfe] },
  { encoding: 'utf-16be', bytes: [0xfe, 0xff] },
]

/** First bytes of files that are not text, and what to do with them. */
const NOT_TEXT: { bytes: number[]; what: string; remedy: string }[] = [
  {
    bytes: [0x50, 0x4b, 0x03, 0x04],
    what: 'is a spreadsheet or zip file, not text',
    remedy: 'Save the sheet as CSV and import that, or copy its cells and paste them.',
  },
  {
    bytes: [0xd0, 0xcf, 0x11, 0xe0],
    what: 'is an old spreadsheet or document, not text',
    remedy: 'Save the sheet as CSV and import that, or copy its cells and paste them.',
  },
  {
    bytes: [0x25, 0x50, 0x44, 0x46],
    what: 'is a PDF, not text',
    remedy: 'Ask the organizer for a CSV file, or copy the table out of the PDF and paste it.',
  },
]

/**
 * The text in a file's bytes. Looks for a byte order mark, then for the zero bytes of UTF-16, then whether it is valid UTF-8; only what
 * is none of these is guessed from letter frequencies, with windows-1252 as the fallback.
 *
 * Errors: empty, too large, not text, or not valid in the chosen encoding.
 * Sources: byte order marks and labels as in the Encoding Standard (WHATWG), sections 4.2 and 6.
 */
export function decodeText(bytes: Uint8Array, choice?: string, most = MAX_FILE_BYTES): Result<DecodedText> {
  if (bytes.length === 0) return refuse('File', '', 'is empty', 'Pick the file again, or paste its text.')
  if (bytes.length > most)
    return refuse(
      'File',
      `${(bytes.length / 1024 / 1024).toFixed(1)} MB`,
      'is too large for a list',
      `Import a file of up to ${most / 1024 / 1024} MB: only the list, without pictures.`,
    )
  for (const kind of NOT_TEXT)
    if (startsWith(bytes, kind.bytes)) return refuse('File', '', kind.what, kind.remedy)

  const mark = MARKS.find((m) => startsWith(bytes, m.bytes))
  const found: { encoding: string; foundBy: DecodedText['foundBy'] } = choice
    ? { encoding: choice, foundBy: 'choice' }
    : mark
      ? { encoding: mark.encoding, foundBy: 'mark' }
      : encodingOf(bytes)
  let text: string
  try {
    text = new TextDecoder(found.encoding, { fatal: true }).decode(bytes)
  } catch {
    return refuse(
      'Encoding',
      found.encoding,
      'does not match the file',
      'Choose another encoding, or save the file as UTF-8.',
    )
  }
  const unprintable = [...text.slice(0, 20_000)].filter(isUnprintable).length
  if (unprintable > Math.min(text.length, 20_000) * 0.01)
    return refuse(
      'File',
      '',
      'is not a text file',
      'Import a CSV or tab-separated file, or paste the list as text.',
    )
  if (text.trim() === '') return refuse('File', '', 'is blank', 'Pick the file again, or paste its text.')
  const whole = found.encoding === 'windows-1252' ? withWesternMarks(text) : text
  return ok({ text: withPlainBreaks(whole), ...found })
}

/** windows-1252, bytes 0x80 to 0x9f. Source: index windows-1252 of the Encoding Standard (WHATWG). */
const WESTERN = '€\u0081‚ƒ„…†‡ˆ‰Š‹Œ\u008dŽ\u008f\u0090‘’“”•–—˜™š›œ\u009džŸ'
/** Some runtimes decode windows-1252 as ISO 8859-1 and leave control codes where dashes and quotation marks belong. */
const withWesternMarks = (text: string): string =>
  text.replace(/[\u0080-\u009f]/g, (c) => WESTERN[c.charCodeAt(0) - 0x80] ?? c)

/** Every kind of line break as `\n`, so that lines can be counted. */
export const withPlainBreaks = (text: string): string => text.replace(/\r\n?/g, '\n')

const startsWith = (bytes: Uint8Array, head: number[]) => head.every((b, i) => bytes[i] === b)
const isUnprintable = (c: string) => {
  const code = c.codePointAt(0) ?? 0
  return (code < 32 && code !== 9 && code !== 10 && code !== 13) || code === 0xfffd
}

function encodingOf(bytes: Uint8Array): { encoding: string; foundBy: DecodedText['foundBy'] } {
  const wide = wideEncoding(bytes)
  if (wide) return { encoding: wide, foundBy: 'bytes' }
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes)
    return { encoding: 'utf-8', foundBy: 'bytes' }
  } catch {
    return { encoding: guessedEncoding(bytes), foundBy: 'guess' }
  }
}

/** UTF-16 without a mark: in text of European languages nearly every second byte is zero. */
function wideEncoding(bytes: Uint8Array): Encoding | null {
  const zeros: [number, number] = [0, 0]
  const sample = bytes.subarray(0, 4000)
  sample.forEach((b, i) => {
    if (b === 0) zeros[i % 2 === 0 ? 0 : 1] += 1
  })
  const half = sample.length / 2
  if (half < 2) return null
  if (zeros[1] > half * 0.4 && zeros[0] < half * 0.05) return 'utf-16le'
  if (zeros[0] > half * 0.4 && zeros[1] < half * 0.05) return 'utf-16be'
  return null
}

/** Another encoding must be clearly likelier than windows-1252: short lists of names mislead letter statistics. */
function guessedEncoding(bytes: Uint8Array): string {
  const matches = analyse(bytes).filter((m) => isDecodable(m.name))
  const western = matches.find((m) => m.name === 'ISO-8859-1')?.confidence ?? 0
  const best = matches[0]
  return best && best.name !== 'ISO-8859-1' && best.confidence >= western + 25
    ? best.name.toLowerCase()
    : 'windows-1252'
}

function isDecodable(label: string): boolean {
  try {
    return new TextDecoder(label).encoding !== ''
  } catch {
    return false
  }
}
