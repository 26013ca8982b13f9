import { execFileSync } from 'node:child_process'
import { cpSync, existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const HERE = fileURLToPath(new URL('.', import.meta.url))
/** Git-ignored; the peers' packages have no business in the project's own dependencies. */
export const BENCH_FOLDER = fileURLToPath(new URL('../../../.test/bench', import.meta.url))

/** A general-purpose server of Yjs documents to measure beside ours. */
export interface Peer {
  name: string
  /** Folder of its packages. */
  folder: string
  /** `stock`: the y-websocket protocol; `named`: the protocol of @hocuspocus/provider; `raw`: any bytes to everybody. */
  flavour: 'stock' | 'named' | 'raw'
  /** What it keeps, and when. */
  keeps: string
  packages: Record<string, string>
  /** Dependencies of dependencies that must not float. */
  overrides?: Record<string, string>
  /** Script in `peers/`, or a file of the installed packages. */
  script: string
  env?: (dataFolder: string) => Record<string, string>
}

const hocuspocus = {
  folder: 'hocuspocus',
  flavour: 'named' as const,
  script: 'hocuspocus.mjs',
  packages: { '@hocuspocus/server': '4.7.0', '@hocuspocus/extension-sqlite': '4.7.0', yjs: '13.6.33' },
}

export const PEERS: Peer[] = [
  {
    name: 'bare broadcast',
    folder: 'floor',
    flavour: 'raw',
    keeps: 'nothing',
    packages: { ws: '8.23.0' },
    script: 'floor.mjs',
  },
  {
    name: '@y/websocket-server 0.1.5',
    folder: 'websocket-server',
    flavour: 'stock',
    keeps: 'memory only',
    packages: { '@y/websocket-server': '0.1.5' },
    overrides: { '@y/protocols': '1.0.6-1' },
    script: 'node_modules/@y/websocket-server/src/server.js',
  },
  { name: 'Hocuspocus 4.7.0', keeps: 'memory only', ...hocuspocus },
  {
    name: 'Hocuspocus 4.7.0 + SQLite',
    keeps: 'later, no fsync',
    ...hocuspocus,
    env: (folder) => ({ DB: join(folder, 'db.sqlite') }),
  },
]

/** Install a peer's packages once; returns the script to run. */
export function installPeer(peer: Peer): string {
  const folder = join(BENCH_FOLDER, peer.folder)
  install(folder, peer.packages, peer.overrides)
  if (peer.script.startsWith('node_modules/')) return join(folder, peer.script)
  cpSync(join(HERE, 'peers', peer.script), join(folder, peer.script))
  return join(folder, peer.script)
}

/** The client library of the `named` flavour; returns its entry. */
export function installNamedClient(): string {
  const folder = join(BENCH_FOLDER, 'client')
  // Its Yjs must be the load's own copy, which it finds in the project's packages.
  install(folder, { '@hocuspocus/provider': '4.7.0' }, {}, ['--legacy-peer-deps'])
  return folder
}

function install(
  folder: string,
  packages: Record<string, string>,
  overrides: Record<string, string> = {},
  flags: string[] = [],
): void {
  const manifest = JSON.stringify({ private: true, type: 'module', dependencies: packages, overrides })
  const file = join(folder, 'package.json')
  if (existsSync(join(folder, 'node_modules')) && existsSync(file) && readFileSync(file, 'utf8') === manifest)
    return
  mkdirSync(folder, { recursive: true })
  console.log(`Installing ${Object.keys(packages).join(', ')} for the bench …`)
  writeFileSync(file, manifest)
  execFileSync('npm', ['install', '--no-audit', '--no-fund', '--loglevel', 'error', ...flags], {
    cwd: folder,
    stdio: 'inherit',
  })
}
