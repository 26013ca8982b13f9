import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { sectionOf } from '../kit-sections'
import { SectionScreen } from './section-screen'

type Params = Promise<{ section: string }>

export async function generateMetadata({ params }: { params: Params }): Promise<Metadata> {
  return { title: sectionOf((await params).section)?.label ?? 'Kit' }
}

export default async function SectionPage({ params }: { params: Params }) {
  const { section } = await params
  if (!sectionOf(section)) notFound()
  return <SectionScreen slug={section} />
}
