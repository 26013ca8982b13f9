import {
  chmodSync,
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'

/** The calls by which a restore changes a folder, one by one, so that a test can end the process or the power at each. */
export interface Files {
  exists(file: string): boolean
  /** Names in a folder. */
  list(folder: string): string[]
  read(file: string): Buffer
  write(file: string, content: string | Uint8Array): void
  copy(from: string, to: string): void
  rename(from: string, to: string): void
  remove(file: string): void
  /** The file's content is on the disk. */
  sync(file: string): void
  /** So is what the folder's files are called. */
  syncFolder(folder: string): void
}

/** Only their owner may read what holds sessions. */
const MODE = 0o600

export const realFiles: Files = {
  exists: existsSync,
  list: (folder) => (existsSync(folder) ? readdirSync(folder) : []),
  read: (file) => readFileSync(file),
  write: (file, content) => writeFileSync(file, content, { mode: MODE }),
  copy: (from, to) => {
    copyFileSync(from, to)
    chmodSync(to, MODE)
  },
  rename: renameSync,
  remove: (file) => rmSync(file, { force: true }),
  sync: (file) => syncPath(file, 'r+'),
  // Windows opens no folders; its file system keeps names in order by itself.
  syncFolder: (folder) => {
    if (process.platform !== 'win32') syncPath(folder, 'r')
  },
}

function syncPath(path: string, flags: 'r' | 'r+'): void {
  const fd = openSync(path, flags)
  try {
    fsyncSync(fd)
  } finally {
    closeSync(fd)
  }
}
