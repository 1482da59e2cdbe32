import fp from 'fastify-plugin'
import type { PasswordCost } from '../accounts/passwords.ts'
import { usualCost } from '../accounts/passwords.ts'
import type { Config, Limits } from '../config.ts'

/** The part of the configuration that routes may know. */
export interface Settings {
  readonly limits: Limits
  readonly isDemo: boolean
  readonly publicOrigin: string | null
  readonly passwordCost: PasswordCost
}

declare module 'fastify' {
  interface FastifyInstance {
    readonly settings: Settings
  }
}

export interface SettingsOptions {
  readonly config: Config
  readonly passwordCost?: PasswordCost
}

export const settingsPlugin = fp<SettingsOptions>(
  async (app, { config, passwordCost = usualCost }) => {
    const { limits, isDemo, publicOrigin } = config
    app.decorate('settings', { limits, isDemo, publicOrigin, passwordCost })
  },
  { name: 'settings' },
)
