import { expect, test } from 'vitest'
import { decodeText, readTable } from '@/lib/tables'
import { valueOf } from '../support/running-order'

/**
 * Source: RFC 4180, Y. Shafranovich, "Common Format and MIME Type for Comma-Separated Values (CSV) Files", IETF, October 2005, section 2,
 * rules 1 to 7 with their examples. Examples of rules 5 and 6 as corrected by verified erratum 5714 (no blank before CRLF).
 */
const CRLF = '\r\n'
const read = (text: string) => {
  const decoded = valueOf(decodeText(new TextEncoder().encode(text)))
  const table = valueOf(readTable(decoded.text, ','))
  expect(table.problems).toEqual([])
  return table.rows
}
const cells = (text: string) => read(text).map((r) => r.cells)

test('rule 1: each record on a line of its own, ended by CRLF', () => {
  expect(cells(`aaa,bbb,ccc${CRLF}zzz,yyy,xxx${CRLF}`)).toEqual([
    ['aaa', 'bbb', 'ccc'],
    ['zzz', 'yyy', 'xxx'],
  ])
})

test('rule 2: the last record may lack its line break', () => {
  expect(cells(`aaa,bbb,ccc${CRLF}zzz,yyy,xxx`)).toEqual([
    ['aaa', 'bbb', 'ccc'],
    ['zzz', 'yyy', 'xxx'],
  ])
})

test('rule 3: a header line is a record like the others', () => {
  expect(cells(`field_name,field_name,field_name${CRLF}aaa,bbb,ccc${CRLF}zzz,yyy,xxx${CRLF}`)).toEqual([
    ['field_name', 'field_name', 'field_name'],
    ['aaa', 'bbb', 'ccc'],
    ['zzz', 'yyy', 'xxx'],
  ])
})

// Rule 4 also says that blanks belong to a cell. A running order's cells are names and numbers, so we trim them on purpose.
test('rule 4: cells parted by commas', () => {
  expect(cells('aaa,bbb,ccc')).toEqual([['aaa', 'bbb', 'ccc']])
})

test('rule 5: cells with or without quotation marks', () => {
  expect(cells(`"aaa","bbb","ccc"${CRLF}zzz,yyy,xxx`)).toEqual([
    ['aaa', 'bbb', 'ccc'],
    ['zzz', 'yyy', 'xxx'],
  ])
})

// The line break inside a cell becomes a blank, because no name holds one; the lines after it are still counted as in the file.
test('rule 6: line breaks, quotation marks and commas inside quotation marks', () => {
  expect(read(`"aaa","b${CRLF}bb","ccc"${CRLF}zzz,yyy,xxx`)).toEqual([
    { line: 1, lastLine: 2, cells: ['aaa', 'b bb', 'ccc'] },
    { line: 3, lastLine: 3, cells: ['zzz', 'yyy', 'xxx'] },
  ])
  expect(cells(`"a,b",c${CRLF}`)).toEqual([['a,b', 'c']])
})

test('rule 7: a quotation mark inside quotation marks is written twice', () => {
  expect(cells('"aaa","b""bb","ccc"')).toEqual([['aaa', 'b"bb', 'ccc']])
})
