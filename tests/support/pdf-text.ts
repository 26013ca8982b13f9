import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs'

/** A piece of text on a page: mm from the page's left and top edge. */
export interface TextBox {
  text: string
  left: number
  top: number
  right: number
  bottom: number
}
export interface PdfPage {
  /** Words in the order drawn. */
  text: string
  /** Points of 1/72 inch. */
  width: number
  height: number
  boxes: TextBox[]
}

const MM = 25.4 / 72

/** What stands on each page of a PDF, and where. */
export async function pdfPages(bytes: Uint8Array): Promise<PdfPage[]> {
  const pdf = await getDocument({ data: new Uint8Array(bytes), useSystemFonts: true }).promise
  const pages = []
  for (let n = 1; n <= pdf.numPages; n++) {
    const page = await pdf.getPage(n)
    const { items } = await page.getTextContent()
    const { width, height } = page.getViewport({ scale: 1 })
    const text = items.map((i) => ('str' in i ? i.str + (i.hasEOL ? '\n' : '') : '')).join('')
    const boxes = items.flatMap((i): TextBox[] => {
      if (!('str' in i) || i.str.trim() === '') return []
      const [, , , , x, baseline] = i.transform as [number, number, number, number, number, number]
      const top = height - baseline - i.height
      return [
        {
          text: i.str,
          left: x * MM,
          right: (x + i.width) * MM,
          top: top * MM,
          bottom: (height - baseline) * MM,
        },
      ]
    })
    pages.push({ text, width, height, boxes })
  }
  await pdf.destroy()
  return pages
}
