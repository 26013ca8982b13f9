import type { Metadata } from 'next'
import { NextRunScreen } from './next-run-screen'

export const metadata: Metadata = { title: 'Next run' }

export default function NextRunPage() {
  return <NextRunScreen />
}
