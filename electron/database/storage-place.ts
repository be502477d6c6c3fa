import { readFileSync, realpathSync } from 'node:fs';
import { sep } from 'node:path';

/** File systems that lie on another computer: locks and "on the disk" can't be relied on there. */
const networkFileSystems = new Set([
  'nfs',
  'nfs4',
  'cifs',
  'smb3',
  'smbfs',
  'afpfs',
  '9p',
  'fuse.sshfs',
  'davfs',
  'fuse.davfs',
  'ncpfs',
  'afs',
  'ceph',
  'fuse.glusterfs',
  'webdav',
]);
/** Folders that a program keeps in step with other computers, by the names those programs give them. */
const synchronisedFolder =
  /^(onedrive|dropbox|google drive|googledrive|my drive|nextcloud|owncloud|icloud drive|icloud~|mobile documents|syncthing|sync)\b/i;

/** Mounted file systems, as /proc/mounts or `mount` lists them. */
export interface Mount {
  readonly folder: string;
  readonly type: string;
}

export function parseMounts(text: string): Mount[] {
  return text
    .split('\n')
    .map((line) => line.split(' '))
    .filter((parts) => parts.length >= 3)
    .map(([, folder = '', type = '']) => ({
      // Spaces and the like stand as octal numbers.
      folder: folder.replaceAll(/\\(\d{3})/g, (_, octal: string) => String.fromCharCode(Number.parseInt(octal, 8))),
      type,
    }));
}

/**
 * @param folder absolute path of the data folder
 * @returns a sentence of warning where the book lies on a network share or in a synchronised folder, else null
 */
export function storageWarning(folder: string, mounts: readonly Mount[] = readMounts()): string | null {
  return warningOf(folder, mounts) ?? warningOf(realFolder(folder), mounts);
}

/** Where the folder really lies: a link in the home folder may lead to a share. */
function realFolder(folder: string): string {
  try {
    return realpathSync(folder);
  } catch {
    return folder;
  }
}

function warningOf(folder: string, mounts: readonly Mount[]): string | null {
  const holder = mounts
    .filter(
      (mount) =>
        folder === mount.folder || folder.startsWith(mount.folder.endsWith('/') ? mount.folder : `${mount.folder}/`),
    )
    .sort((first, second) => second.folder.length - first.folder.length)[0];
  const isShare =
    folder.startsWith('\\\\') ||
    folder.startsWith('//') ||
    (holder !== undefined && networkFileSystems.has(holder.type));
  if (isShare) {
    return 'The book lies on a network share. There a power cut or a second computer can damage it: keep it on a disk of this computer and let backups go to the share.';
  }
  const isSynchronised = folder.split(/[/\\]/).some((step) => synchronisedFolder.test(step));
  if (isSynchronised) {
    return `The book lies in a folder that looks synchronised with other computers (${folder.split(sep).slice(-2).join(sep)}). Such programs copy half-written files: keep the book elsewhere and let exports go there.`;
  }
  return null;
}

/** `PORTSIGHT_MOUNT_TABLE` names another table, so that a share can be tried without having one. */
function readMounts(): Mount[] {
  try {
    return parseMounts(readFileSync(process.env['PORTSIGHT_MOUNT_TABLE'] ?? '/proc/mounts', 'utf8'));
  } catch {
    // Not Linux: shares are told by their path there.
    return [];
  }
}
