import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid } from '../../platform/problem.ts';
import { incidentAttachments, incidentContents } from '../../tables/incidents.ts';
import { about, getIncident, lockIncident, refuseStranger } from './access.ts';
import type { AtIncident, Attachment, NewAttachment } from './addition-schema.ts';
import { bumpNote } from './amend-note.ts';
import { refuseFull } from './bounds.ts';
import { sha256 } from './canonical.ts';
import { link } from './chain.ts';
import { MOST_BYTES, mediaTypeOf } from './media-type.ts';
import { recordRead } from './trace.ts';

/** Puts a file beside a note, draft or sent; what it is, its first bytes say. It cannot be taken away again. */
export async function attach(ctx: Context, at: AtIncident, { name, content }: NewAttachment): Promise<Attachment> {
  const note = await lockIncident(ctx, at);
  refuseStranger(ctx, note);
  const bytes = Buffer.from(content, 'base64');
  if (bytes.toString('base64') !== content) throw invalid('/content', 'Expected Base64 (RFC 4648), with its padding.');
  if (bytes.length > MOST_BYTES) throw invalid('/content', `A file has at most ${MOST_BYTES} bytes.`);
  const mediaType = mediaTypeOf(bytes);
  if (mediaType === null) throw invalid('/content', 'By its content this is no JPEG, PNG, WebP, HEIC or PDF file.');
  await refuseFull(ctx, note.id, 'attachments');
  if (ctx.accountId === null) throw new Error('a file comes from somebody');

  const { franchiseId } = ctx;
  const file = { id: newId(), name, mediaType, size: bytes.length, sha256: sha256(bytes) };
  await ctx.tx.insert(incidentAttachments).values({
    franchiseId,
    incidentId: note.id,
    ...file,
    createdAt: ctx.now,
    createdBy: ctx.accountId,
  });
  await ctx.tx.insert(incidentContents).values({ franchiseId, attachmentId: file.id, content: bytes });
  await bumpNote(ctx, note);
  await link(ctx, note, 'attachment', file.id);
  await ctx.record('incidents.attached', about({ ...note, revision: note.revision + 1 }), { attachmentId: file.id });
  return { ...file, attachedAt: instantOf(ctx.now) };
}

/** One file with its bytes, for somebody who may read the note. */
export async function readAttachment(ctx: Context, at: AtIncident & { attachmentId: string }) {
  const note = await getIncident(ctx, at);
  const [row] = await ctx.tx
    .select({ file: incidentAttachments, content: incidentContents.content })
    .from(incidentAttachments)
    .innerJoin(
      incidentContents,
      and(ours(ctx, incidentContents), eq(incidentContents.attachmentId, incidentAttachments.id)),
    )
    .where(
      and(
        ours(ctx, incidentAttachments),
        eq(incidentAttachments.incidentId, note.id),
        eq(incidentAttachments.id, at.attachmentId),
      ),
    );
  const { file, content } = found(row, 'attachment');
  await recordRead(ctx, note, file.id);
  return {
    id: file.id,
    name: file.name,
    mediaType: file.mediaType,
    size: file.size,
    sha256: file.sha256,
    attachedAt: instantOf(file.createdAt),
    content: content.toString('base64'),
  };
}
