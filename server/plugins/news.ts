import fp from 'fastify-plugin'
import { newsChannel, type News } from '../store/news.ts'

export type NewsListener = (news: News) => void

/** What happened anywhere in the installation, heard in this process. */
export class NewsRoom {
  readonly #listeners = new Set<NewsListener>()
  readonly #gapListeners = new Set<() => void>()

  /** Gives back the function that stops listening. */
  on(listener: NewsListener): () => void {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  /** Called when news may have been missed. */
  onGap(listener: () => void): () => void {
    this.#gapListeners.add(listener)
    return () => this.#gapListeners.delete(listener)
  }

  spread(news: News): void {
    for (const listener of [...this.#listeners]) listener(news)
  }

  admitGap(): void {
    for (const listener of [...this.#gapListeners]) listener()
  }
}

declare module 'fastify' {
  interface FastifyInstance {
    readonly news: NewsRoom
  }
}

export const newsPlugin = fp(
  async (app) => {
    const room = new NewsRoom()
    const stop = await app.database.listen(
      newsChannel,
      (payload) => room.spread(JSON.parse(payload) as News),
      () => room.admitGap(),
    )
    app.addHook('onClose', () => stop())
    app.decorate('news', room)
  },
  { name: 'news', dependencies: ['database'] },
)
