import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { crc32, deflateRawSync } from 'node:zlib'
import { fromBufferPromise } from 'yauzl'

/** One entry of a zip as it is to be written, lies included. */
export interface HandMadeEntry {
  name: string
  data: Buffer
  method?: number
  flags?: number
  /** Unix mode, in the upper half of the external attributes. */
  mode?: number
  /** What the entry says of itself, where that is not so. */
  says?: { uncompressed?: number; compressed?: number }
  /** Points at this entry's bytes instead of its own. */
  sameBytesAs?: number
}

const u16 = (n: number) => Buffer.from([n & 0xff, (n >>> 8) & 0xff])
const u32 = (n: number) => {
  const b = Buffer.alloc(4)
  b.writeUInt32LE(n >>> 0)
  return b
}

/** A zip by APPNOTE.TXT (4.3.7, 4.3.12, 4.3.16), field by field, without any library; sealed as archives are. */
export function handMadeZip(entries: readonly HandMadeEntry[], says: { count?: number } = {}): Buffer {
  const files: Buffer[] = []
  const directory: Buffer[] = []
  const offsets: number[] = []
  let at = 0
  for (const e of entries) {
    const method = e.method ?? 8
    const packed = method === 8 ? deflateRawSync(e.data) : e.data
    const name = Buffer.from(e.name, 'latin1')
    const sizes = [
      u32(crc32(e.data)),
      u32(e.says?.compressed ?? packed.length),
      u32(e.says?.uncompressed ?? e.data.length),
    ]
    const common = [
      u16(20),
      u16(e.flags ?? 0),
      u16(method),
      u16(0),
      u16(0x21),
      ...sizes,
      u16(name.length),
      u16(0),
    ]
    const offset = e.sameBytesAs === undefined ? at : (offsets[e.sameBytesAs] ?? 0)
    if (e.sameBytesAs === undefined) {
      const file = Buffer.concat([u32(0x04034b50), ...common, name, packed])
      files.push(file)
      at += file.length
    }
    offsets.push(offset)
    const mode = u32(((e.mode ?? 0o100644) << 16) >>> 0)
    directory.push(
      Buffer.concat([
        u32(0x02014b50),
        u16(0x0314),
        ...common,
        u16(0),
        u16(0),
        u16(0),
        mode,
        u32(offset),
        name,
      ]),
    )
  }
  const list = Buffer.concat(directory)
  const count = u16(says.count ?? entries.length)
  const end = Buffer.concat([
    u32(0x06054b50),
    u16(0),
    u16(0),
    count,
    count,
    u32(list.length),
    u32(at),
    u16(0),
  ])
  return sealedAnew(Buffer.concat([...files, list, end]))
}

const COMMENT = 71

/** A zip with the seal that belongs to its bytes, whatever they are: an attacker can do that too. */
export function sealedAnew(zip: Buffer): Buffer {
  const isSealed = /^sha256:[0-9a-f]{64}$/.test(zip.subarray(-COMMENT).toString('latin1'))
  const body = Buffer.from(isSealed ? zip.subarray(0, -COMMENT) : zip)
  body.writeUInt16LE(COMMENT, body.length - 2)
  return Buffer.concat([
    body,
    Buffer.from(`sha256:${createHash('sha256').update(body).digest('hex')}`, 'latin1'),
  ])
}

/** The parts of a sound archive, and where each one's packed bytes stand. */
export async function partsOf(
  file: string,
): Promise<Map<string, { data: Buffer; from: number; to: number }>> {
  const zip = await fromBufferPromise(readFileSync(file))
  const parts = new Map<string, { data: Buffer; from: number; to: number }>()
  for await (const entry of zip.eachEntry()) {
    const chunks: Buffer[] = []
    for await (const chunk of await zip.openReadStreamPromise(entry)) chunks.push(chunk as Buffer)
    const { fileDataStart: from } = await zip.readLocalFileHeaderPromise(entry, { minimal: true })
    parts.set(entry.fileName, { data: Buffer.concat(chunks), from, to: from + entry.compressedSize })
  }
  return parts
}
