// What `npm start`, `npm run dev` and `npm run admin` run. Plain JavaScript without packages, because on a fresh clone there are none yet.
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { say, SetupError } from './setup/say.mjs'

const root = dirname(dirname(fileURLToPath(import.meta.url)))
const OLDEST_NODE = [20, 19]

function checkNode() {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number)
  const [wantMajor, wantMinor] = OLDEST_NODE
  if (major > wantMajor || (major === wantMajor && minor >= wantMinor)) return
  throw new SetupError(
    `This is Node.js ${process.versions.node}; the board needs ${OLDEST_NODE.join('.')} or newer. Get it from https://nodejs.org.`,
  )
}

async function start(args) {
  checkNode()
  // For callers that have just prepared everything themselves.
  const prepared = args.includes('--prepared')
  const rest = args.filter((a) => a !== '--prepared')
  const admin = rest[0] === '--admin'
  const builtScreens = !admin && !rest.includes('--dev') && !rest.includes('--no-screens')
  if (!prepared) {
    const { installPackages } = await import('./setup/install-packages.mjs')
    await installPackages(root)
  }
  if (builtScreens) {
    const { buildScreens, noteServing } = await import('./setup/build-screens.mjs')
    if (!prepared) await buildScreens(root)
    noteServing(root)
  }
  // The board's files, backups, keys and logs are for whoever runs it alone. After the build, which may be shared.
  process.umask(0o077)
  // Next reads it when it is first imported.
  process.env.NODE_ENV = rest.includes('--dev') ? 'development' : 'production'
  process.env.NEXT_TELEMETRY_DISABLED = '1'
  process.chdir(root)
  // Stacks name the sources, not the bundle.
  process.setSourceMapsEnabled(true)
  const { bundleServer } = await import('./setup/bundle-server.mjs')
  const bundle = await bundleServer(root)
  const load = (name) => import(pathToFileURL(join(bundle, `${name}.mjs`)).href)
  if (admin) {
    const { runAdmin } = await load('admin')
    process.exitCode = await runAdmin(rest.slice(1), root)
  } else {
    const { main } = await load('main')
    await main(rest, root, (part) => load(`demo-${part}`), join(bundle, 'archive-thread.mjs'))
  }
}

start(process.argv.slice(2)).catch((e) => {
  say(e instanceof SetupError ? e.message : (e?.stack ?? String(e)))
  process.exitCode = 1
})
