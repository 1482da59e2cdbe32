/** Writes core/board/generated/bench-8-firmware.ts: `npx tsx tests/core/board/generate-firmware.ts`. */
import { writeFileSync } from 'node:fs'
import { firmwareModuleText } from '../../../core/board/firmware/module-text.ts'
import { assembleFirmware, firmwareModule } from './assembled-firmware.ts'

writeFileSync(firmwareModule, firmwareModuleText(assembleFirmware()))
