/**
 * Write a line of text into an element past React. The text's own node is kept where there is one: the browser then lays out a line anew, and builds
 * nothing.
 */
export function writeText(element: Element, text: string): void {
  const only = element.childNodes.length === 1 ? element.firstChild : null
  if (only instanceof Text) {
    if (only.data !== text) only.data = text
  } else element.textContent = text
}
