/**
 * Print one part of a page and not the rest: what style sheets hide is theirs to say, by `:root[data-print-part='…']`. Without it, the browser’s own
 * print takes the whole page.
 */
export function printPart(part: string): void {
  const { dataset } = document.documentElement
  const end = () => delete dataset['printPart']
  dataset['printPart'] = part
  // Told by every browser once its print window is closed, whatever became of the print.
  addEventListener('afterprint', end, { once: true })
  print()
}
