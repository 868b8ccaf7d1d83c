import type { FastifyReply } from 'fastify';

/** Sends comma-separated values as a file to keep. */
export function sendTable(reply: FastifyReply, fileName: string, text: string): FastifyReply {
  return reply
    .header('cache-control', 'private, no-cache')
    .header('content-disposition', `attachment; filename="${fileName}"`)
    .type('text/csv; charset=utf-8')
    .send(text);
}
