import path from 'node:path'

/**
 * The inner walls of `app`: places that everybody may use, and which of each other they use. Everything else is a feature, which reaches into no other:
 * what two of them share moves to a place. Routes (`page.tsx`, `layout.tsx` and their like) put features together and may import any.
 */
export const PLACES = {
  'app/ui': {
    uses: [],
    why: 'ui is presentational: it is handed what it shows, and knows neither the board nor a screen',
  },
  'app/threads': { uses: ['app/ui'], why: 'threads start workers for anybody' },
  'app/words': { uses: ['app/ui'], why: 'words are what screens call things' },
  'app/sync': { uses: ['app/ui', 'app/words'], why: 'sync is the board in the browser: it knows no screen' },
  'app/offline': { uses: ['app/ui', 'app/sync'], why: 'offline keeps pages, whatever is on them' },
  'app/record': {
    uses: ['app/ui', 'app/words', 'app/sync'],
    why: 'record is the form of any record of the board',
  },
  'app/card': {
    uses: ['app/ui', 'app/words', 'app/sync', 'app/threads'],
    why: 'card is what screens show of a card: projections, history',
  },
  'app/photos': { uses: ['app/ui', 'app/words', 'app/sync'], why: 'photos hang on any record' },
  'app/tracks': {
    uses: ['app/ui', 'app/words', 'app/sync', 'app/threads', 'app/record', 'app/card'],
    why: 'tracks is drawing a track, wherever that is done',
  },
  'app/first-steps': {
    uses: ['app/ui', 'app/sync'],
    why: 'the first steps lead on from home, the kit and the crew',
  },
  'app/season': {
    uses: ['app/ui', 'app/words', 'app/sync', 'app/threads', 'app/offline', 'app/record', 'app/card'],
    why: 'season is what runs of all meetings say, wherever that is asked',
  },
  'app/calls': { uses: ['app/ui', 'app/sync'], why: 'calls reach whoever carries the phone, on any screen' },
  'app/meeting': {
    uses: ['app/ui', 'app/words', 'app/sync', 'app/threads', 'app/offline', 'app/record', 'app/card'],
    why: 'meeting is what the screens of a meeting share',
  },
  'app/shell': {
    uses: [
      'app/ui',
      'app/words',
      'app/sync',
      'app/offline',
      'app/photos',
      'app/meeting',
      'app/calls',
      'app/first-steps',
    ],
    why: 'shell is the frame around every page',
  },
}
const ROUTE = /\/(page|layout|error|global-error|loading|not-found)\.tsx$/

/** The place or feature that a file under `app` belongs to; its own folder's path. */
export function roomOf(file) {
  const parts = file.split('/')
  if (file.startsWith('app/ui/shell/') || file === 'app/ui/home.tsx') return 'app/shell'
  if (parts[1] === 'board' && parts[2] === '[meetingId]')
    return parts.length > 4 ? parts.slice(0, 4).join('/') : 'app/board'
  return parts.length > 2 ? parts.slice(0, 2).join('/') : 'app'
}

/** Why `from` may not import `to` (paths from the root, with `/`); null when it may. */
export function whyNot(from, to) {
  const [own, other] = [roomOf(from), roomOf(to)]
  if (own === other || other === 'app') return null
  const place = PLACES[own]
  if (place) return place.uses.includes(other) ? null : place.why
  if (PLACES[other] || ROUTE.test(`/${from}`)) return null
  return `the feature ${own} reaches into ${other}: what two features share moves to a place (${Object.keys(PLACES).join(', ')})`
}

/** Reports imports through a wall, and relative ones from one room of `app` into another, which it can put right. */
export const walls = {
  meta: { type: 'problem', fixable: 'code', schema: [] },
  create(context) {
    const root = context.cwd
    const from = path.relative(root, context.filename).replaceAll('\\', '/')
    if (!from.startsWith('app/')) return {}
    const check = (source) => {
      if (typeof source?.value !== 'string') return
      const said = source.value
      const isRelative = said.startsWith('.')
      if (!isRelative && !said.startsWith('@/app/')) return
      const to = isRelative ? path.posix.join(path.posix.dirname(from), said) : said.slice(2)
      const why = whyNot(from, to.includes('/', 4) ? to : `${to}/index`)
      if (why) context.report({ node: source, message: why })
      else if (
        isRelative &&
        roomOf(from) !== roomOf(to.includes('/', 4) ? to : `${to}/index`) &&
        to.startsWith('app/')
      )
        context.report({
          node: source,
          message: `Across folders imports go by '@/${to}'`,
          fix: (fixer) => fixer.replaceText(source, `'@/${to}'`),
        })
    }
    return {
      ImportDeclaration: (node) => check(node.source),
      ImportExpression: (node) => check(node.source),
      ExportNamedDeclaration: (node) => check(node.source),
      ExportAllDeclaration: (node) => check(node.source),
    }
  },
}
