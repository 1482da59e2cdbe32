import type { Database } from './database.ts'

/** The value of a setting; where there is none yet, `make` supplies it, once for all processes. */
export async function settingOnce({ prisma }: Database, key: string, make: () => string): Promise<string> {
  const found = await prisma.setting.findUnique({ where: { key } })
  if (found !== null) return found.value
  await prisma.setting.createMany({ data: [{ key, value: make() }], skipDuplicates: true })
  return (await prisma.setting.findUniqueOrThrow({ where: { key } })).value
}

export async function findSetting({ prisma }: Database, key: string): Promise<string | null> {
  return (await prisma.setting.findUnique({ where: { key } }))?.value ?? null
}
