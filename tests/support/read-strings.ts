import ts from 'typescript'

/** A text of the program that a person may read: where it stands and its words, with `{…}` for what is filled in. */
export interface ReadString {
  line: number
  text: string
}

/** Attributes whose value is never read by a person. */
const UNREAD_ATTRIBUTES = new Set([
  'className',
  'class',
  'd',
  'transform',
  'viewBox',
  'points',
  'style',
  'strokeDasharray',
])

/** Inline parts of a sentence: their text is read as one with what stands around them. */
const INLINE = new Set(['b', 'i', 'em', 'strong', 'a', 'Link', 'code', 'kbd', 'abbr', 'span', 'time'])

/**
 * Every text of one source file that a person may read: the text of JSX elements (a sentence with inline parts in one
 * piece), and string literals and templates that hold a blank or begin with a capital letter.
 * Left out: module names, class names, types, and what is only compared or used as a key.
 *
 * @param source - the text of a .ts or .tsx file
 * @param name - its name; the ending decides whether JSX is read
 */
export function readStrings(source: string, name: string): ReadString[] {
  const file = ts.createSourceFile(
    name,
    source,
    ts.ScriptTarget.Latest,
    true,
    name.endsWith('x') ? ts.ScriptKind.TSX : ts.ScriptKind.TS,
  )
  const found: ReadString[] = []
  const add = (node: ts.Node, text: string) => {
    const said = text.replace(/\s+/g, ' ').trim()
    if (!/\p{L}{2}/u.test(said)) return
    found.push({ line: file.getLineAndCharacterOfPosition(node.getStart(file)).line + 1, text: said })
  }

  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node) || ts.isTypeNode(node)) return
    if (ts.isJsxAttribute(node) && ts.isIdentifier(node.name) && UNREAD_ATTRIBUTES.has(node.name.text)) return
    if (ts.isJsxElement(node) || ts.isJsxFragment(node)) {
      if (!isInlineOfSentence(node)) add(node, sentence(node))
      ts.forEachChild(node, (child) => {
        if (!ts.isJsxText(child)) visit(child)
      })
      return
    }
    if (ts.isStringLiteral(node) || ts.isNoSubstitutionTemplateLiteral(node)) {
      if (mayBeRead(node, node.text)) add(node, node.text)
      return
    }
    if (ts.isTemplateExpression(node)) {
      const text = node.head.text + node.templateSpans.map((span) => `{…}${span.literal.text}`).join('')
      if (mayBeRead(node, text)) add(node, text)
    }
    ts.forEachChild(node, visit)
  }
  visit(file)
  return found
}

function isInlineOfSentence(node: ts.Node): boolean {
  return (
    ts.isJsxElement(node) &&
    INLINE.has(node.openingElement.tagName.getText()) &&
    (ts.isJsxElement(node.parent) || ts.isJsxFragment(node.parent)) &&
    hasOwnText(node.parent)
  )
}

function hasOwnText(node: ts.JsxElement | ts.JsxFragment): boolean {
  return node.children.some((child) => ts.isJsxText(child) && /\p{L}/u.test(child.text))
}

function sentence(node: ts.JsxElement | ts.JsxFragment): string {
  return node.children
    .map((child) => {
      if (ts.isJsxText(child)) return child.text
      if (ts.isJsxExpression(child)) {
        const inner = child.expression
        return inner && ts.isStringLiteralLike(inner) ? inner.text : inner ? '{…}' : ''
      }
      if (ts.isJsxElement(child) && isInlineOfSentence(child)) return sentence(child)
      return ' '
    })
    .join('')
}

function mayBeRead(node: ts.Node, text: string): boolean {
  const parent = node.parent
  if (ts.isPropertyAssignment(parent) && parent.name === node) return false
  if (ts.isElementAccessExpression(parent) || ts.isLiteralTypeNode(parent)) return false
  if (
    ts.isExternalModuleReference(parent) ||
    (ts.isCallExpression(parent) && parent.expression.kind === ts.SyntaxKind.ImportKeyword)
  )
    return false
  if (ts.isCaseClause(parent)) return false
  if (ts.isBinaryExpression(parent) && /^[!=]==?$/.test(parent.operatorToken.getText())) return false
  return /\s/.test(text.trim()) || /^\p{Lu}\p{L}+/u.test(text.trim()) || isLabelled(parent)
}

function isLabelled(parent: ts.Node): boolean {
  return (
    (ts.isPropertyAssignment(parent) || ts.isJsxAttribute(parent)) &&
    /^(label|title|says|said|text|why|hint|name|unit|what|aria-label|placeholder)$/.test(
      parent.name.getText(),
    )
  )
}
