import jsQR from 'jsqr'
import { create } from 'qrcode'
import { renderToStaticMarkup } from 'react-dom/server'
import { createElement } from 'react'
import { expect, it } from 'vitest'
import { addRecord, changeRecord, setPackState } from '@/lib/board'
import { labelItems, labelUrl } from '@/app/kit/labels/label-items'
import { Qr } from '@/app/ui/qr'
import { testBoard } from '../../support/board'

function kit() {
  const b = testBoard()
  const m = b.as('manager')
  const pack = addRecord(m, 'kit', 'packs', { label: 'P10', cells: 2, capacityMah: 5200, maxChargeC: 2 })
  addRecord(m, 'kit', 'packs', { label: 'P2' })
  const gone = addRecord(m, 'kit', 'packs', { label: 'P3' })
  const tires = addRecord(m, 'kit', 'tireSets', { label: 'T1', drive: '2wd', compound: 'soft' })
  if (!pack.ok || !tires.ok || !gone.ok) throw new Error('refused')
  setPackState(m, { packId: gone.value, state: 'retired' })
  changeRecord(m, 'kit', 'tireSets', tires.value, { axle: 'rear' })
  return { ...b, packId: pack.value, tiresId: tires.value }
}

it('every pack and tire set in use has a label that leads to its page', () => {
  const { view, packId, tiresId } = kit()
  const items = labelItems(view())
  expect(items.map((i) => i.name)).toEqual(['P2', 'P10', 'T1'])
  expect(items[1]).toMatchObject({
    lines: ['2 cells, 5200 mAh', 'charge up to 2C'],
    path: `/kit/packs/${packId}`,
  })
  expect(items[2]).toMatchObject({ lines: ['2WD rear', 'soft'], path: `/kit/tires/${tiresId}` })
})

/** Draws the label's own SVG path as a camera would see it: `scale` pixels a cell, dark on light. */
function pixelsOf(svg: string, scale: number) {
  const cells = Number(/viewBox="0 0 (\d+) /.exec(svg)?.[1])
  const side = cells * scale
  const data = new Uint8ClampedArray(side * side * 4).fill(255)
  for (const [, x, y] of svg.matchAll(/M(\d+) (\d+)h1v1h-1z/g))
    for (let py = Number(y) * scale; py < (Number(y) + 1) * scale; py++)
      for (let px = Number(x) * scale; px < (Number(x) + 1) * scale; px++)
        data.fill(0, (py * side + px) * 4, (py * side + px) * 4 + 3)
  return { data, side, cells }
}

it.each(['http://192.0.2.7:4310', 'https://pit.example', 'http://[2001:db8::7]:4310'])(
  'an independent reader reads the printed code: %s',
  (origin) => {
    for (const item of labelItems(kit().view())) {
      const url = labelUrl(origin, item)
      const svg = renderToStaticMarkup(createElement(Qr, { text: url, label: 'code' }))
      const { data, side, cells } = pixelsOf(svg, 4)
      expect(jsQR(data, side, side)?.data).toBe(url)
      // ISO/IEC 18004 asks for a quiet zone of four cells on every side.
      expect(cells).toBe(create(url, { errorCorrectionLevel: 'M' }).modules.size + 8)
    }
  },
)
