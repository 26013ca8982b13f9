import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { withUnit } from '@/lib/core/figure-text'
import { parseNumber } from '@/lib/core/parse-number'
import { readStrings } from '../../support/read-strings'
import { WORDS_LEFT_BEHIND } from '../../support/words-left-behind'

/** Bundled by name, not read by people. */
const NOT_WORDS = /look-alikes\.ts$/

const files = execFileSync(
  'git',
  ['ls-files', '--cached', '--others', '--exclude-standard', 'app', 'lib', 'server', 'demo'],
  {
    encoding: 'utf8',
  },
)
  .split('\n')
  .filter((f) => /\.(tsx?|mjs)$/.test(f) && !NOT_WORDS.test(f))

const strings = files.flatMap((f) => readStrings(readFileSync(f, 'utf8'), f).map((s) => ({ ...s, file: f })))

test('the texts that people read are found: a sentence with a link in it is one, a class name is none', () => {
  const source = `
    import x from 'a module name'
    const A = () => <p className="not read">One <b>whole</b> sentence{' '}
      with {n} parts. <Button label="Press me">Go on</Button></p>
    const b = cond === 'not read either' ? 'A reason to read' : \`\${n} heats left\``
  expect(readStrings(source, 'a.tsx').map((s) => s.text)).toEqual([
    'One whole sentence with {…} parts.',
    'Go on',
    'Press me',
    'A reason to read',
    '{…} heats left',
  ])
  expect(strings.length).toBeGreaterThan(3000)
})

test('no text that people read says a word that was left behind', () => {
  const said = strings.flatMap((s) =>
    WORDS_LEFT_BEHIND.filter(({ word }) => word.test(s.text)).map(
      ({ say, why }) => `${s.file}:${s.line}: “${s.text.slice(0, 120)}” (say: ${say}; ${why})`,
    ),
  )
  expect(said).toEqual([])
})

test('percent and degrees stand at their number, in what is built from a figure and a unit too', () => {
  expect(['%', '%/s', '°', '°C', 'mm', undefined].map((unit) => withUnit('85', unit))).toEqual([
    '85%',
    '85%/s',
    '85°',
    '85°C',
    '85 mm',
    '85',
  ])
  const bounds = { min: 40, max: 60, unit: '%' }
  expect(parseNumber('Share', '90', bounds)).toMatchObject({
    error: { remedy: 'Enter a number from 40 to 60%.' },
  })
  // In source and documents as on screen: a digit, a blank and a percent sign are a remainder at most.
  const spaced = [...files, 'README.md', 'DEVELOPERS.md', 'tests/README.md'].flatMap((f) =>
    readFileSync(f, 'utf8')
      .split('\n')
      .flatMap((line, i) => (/[0-9}] %[ .,;:)'`|]/.test(line) ? [`${f}:${i + 1}: ${line}`] : [])),
  )
  expect(spaced).toEqual([])
})

test('a heat is named in one place', () => {
  const byHand = files
    .filter((f) => f !== 'lib/board/heat-name.ts')
    .filter((f) => /\bheat \$?\{[^}]*number/i.test(readFileSync(f, 'utf8')))
  expect(byHand).toEqual([])
})

test.each(['README.md'])('%s neither', (name) => {
  const lines = readFileSync(name, 'utf8').split('\n')
  const said = lines.flatMap((text, i) =>
    WORDS_LEFT_BEHIND.filter(({ word }) => word.test(text)).map(
      ({ say }) => `${name}:${i + 1}: ${text} (say: ${say})`,
    ),
  )
  expect(said).toEqual([])
})
