/** Names of the two pipes between page and shell. */
export const callChannel = 'portsight:call';
export const announcementChannel = 'portsight:announcement';
