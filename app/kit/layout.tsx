import type { ReactNode } from 'react'
import '@/app/record/record.css'
import { KitFrame } from './kit-frame'

export default function KitLayout({ children }: { children: ReactNode }) {
  return <KitFrame>{children}</KitFrame>
}
