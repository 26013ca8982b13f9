import type { Page } from 'playwright'
import { expect } from 'vitest'
import { pdfPages, type PdfPage } from './pdf-text'

const POINT = 25.4 / 72
/** mm. ISO 216 for A4 and A5; ANSI/ASME Y14.1 size A for Letter, which is 8.5 by 11 inches. */
export const PAPER = { A4: [210, 297], A5: [148, 210], letter: [215.9, 279.4] } as const

/** mm along an edge that many printers leave blank. Common practice, no source. */
const UNPRINTED = 4
/** mm. What an italic letter or a rounded position may stand out. */
const LOOSE = 0.5

/** Letters without what breaks a line, and as one shape each: a PDF has `fi` as one sign where the font has. */
export const plainOf = (text: string) => text.normalize('NFKC').replace(/[\s\u00AD\u200B]+/g, '')

/** The page as this browser prints it, on the paper that its style sheet asks for. */
export const printed = async (page: Page): Promise<PdfPage[]> =>
  pdfPages(await page.pdf({ preferCSSPageSize: true, printBackground: true }))

export const textOf = (pages: readonly PdfPage[]) => plainOf(pages.map((p) => p.text).join('\n'))

/**
 * Every text that the page shows in print is in the PDF; nothing is clipped by a box of its own; all of it stands on the paper asked for, and on US
 * Letter where a printer has nothing else: printed from the top edge, from the middle, and set anew for it.
 */
export async function expectWhole(
  page: Page,
  { paper, landscape = false, most }: { paper: 'A4' | 'A5'; landscape?: boolean; most: number },
): Promise<PdfPage[]> {
  const before = await shownTexts(page)
  const pages = await printed(page)
  const sides = landscape ? [...PAPER[paper]].reverse() : PAPER[paper]
  const letter = landscape ? [...PAPER.letter].reverse() : [...PAPER.letter]
  const [width = 0, height = 0] = sides
  expect(pages.length).toBeGreaterThan(0)
  expect(pages.length).toBeLessThanOrEqual(most)
  for (const p of pages) {
    expect([p.width * POINT, p.height * POINT].map(Math.round)).toEqual([width, height])
    expect(
      outside(p, { left: UNPRINTED, top: UNPRINTED, right: width - UNPRINTED, bottom: height - UNPRINTED }),
    ).toEqual([])
    for (const fit of [whereFrom('start', sides, letter), whereFrom('middle', sides, letter)])
      expect(outside(p, fit)).toEqual([])
  }
  const all = textOf(pages)
  // What came or went meanwhile, such as a second that passed, is in neither.
  const after = new Set(await shownTexts(page))
  const shown = before.filter((t) => after.has(t))
  expect(shown.length).toBeGreaterThan(5)
  expect(shown.filter((t) => !all.includes(plainOf(t)))).toEqual([])
  expect(await clipped(page, width)).toEqual([])

  const anew = await pdfPages(await page.pdf({ format: 'Letter', landscape, printBackground: true }))
  expect(anew.length).toBeLessThanOrEqual(most)
  const [letterWidth = 0, letterHeight = 0] = letter
  for (const p of anew)
    expect(outside(p, { left: 0, top: 0, right: letterWidth, bottom: letterHeight })).toEqual([])
  const atLast = new Set(await shownTexts(page))
  expect(shown.filter((t) => atLast.has(t) && !textOf(anew).includes(plainOf(t)))).toEqual([])
  return pages
}

interface Edges {
  left: number
  top: number
  right: number
  bottom: number
}
const outside = (page: PdfPage, edges: Edges) =>
  page.boxes.filter(
    (b) =>
      b.left < edges.left - LOOSE ||
      b.top < edges.top - LOOSE ||
      b.right > edges.right + LOOSE ||
      b.bottom > edges.bottom + LOOSE,
  )

/** What of a sheet a Letter printer can print, when it does not scale: where the sheet is the larger one it is cut at the end, or at both. */
function whereFrom(place: 'start' | 'middle', sheet: readonly number[], letter: readonly number[]): Edges {
  const range = (i: 0 | 1): [number, number] => {
    const [own = 0, theirs = 0] = [sheet[i], letter[i]]
    if (own <= theirs) return [0, own]
    const from = place === 'start' ? 0 : (own - theirs) / 2
    return [from + UNPRINTED, from + theirs - UNPRINTED]
  }
  const [[left, right], [top, bottom]] = [range(0), range(1)]
  return { left, right, top, bottom }
}

/** The texts that stand in the page in print, node by node. */
async function shownTexts(page: Page): Promise<string[]> {
  await page.emulateMedia({ media: 'print' })
  const texts = await page.evaluate(() => {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
    const found: string[] = []
    while (walker.nextNode()) {
      const { parentElement: parent, textContent: text } = walker.currentNode
      if (!parent?.checkVisibility() || parent.closest('.visually-hidden, script, style, noscript')) continue
      const shown = getComputedStyle(parent).textTransform === 'uppercase' ? text?.toUpperCase() : text
      if (shown?.trim()) found.push(shown)
    }
    return found
  })
  await page.emulateMedia({ media: null })
  return texts
}

/** Boxes that hide part of what is in them, laid out as wide as the paper between margins of 10 mm. */
async function clipped(page: Page, widthMm: number): Promise<string[]> {
  const before = page.viewportSize()
  await page.emulateMedia({ media: 'print' })
  await page.setViewportSize({ width: Math.round(((widthMm - 20) / 25.4) * 96), height: 1000 })
  const found = await page.evaluate(() =>
    [...document.body.querySelectorAll<HTMLElement>('*')]
      .filter((e) => e.checkVisibility() && !e.closest('.visually-hidden, svg'))
      .filter((e) => getComputedStyle(e).overflow !== 'visible' && e.clientWidth > 0)
      .filter((e) => e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)
      .map((e) => `${e.tagName} ${e.className}: ${e.innerText.slice(0, 60)}`),
  )
  await page.emulateMedia({ media: null })
  if (before) await page.setViewportSize(before)
  return found
}
