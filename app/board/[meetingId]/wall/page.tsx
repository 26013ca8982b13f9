import type { Metadata } from 'next'
import { WallScreen } from './wall-screen'

export const metadata: Metadata = { title: 'Pit wall' }

export default function WallPage() {
  return <WallScreen />
}
