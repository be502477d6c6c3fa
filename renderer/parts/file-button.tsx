import { useRef } from 'react';
import { Button } from './controls.tsx';

interface FileButtonProps {
  readonly children: string;
  /** Endings and media types, as the file dialog takes them. */
  readonly accept: string;
  readonly look?: 'main' | 'plain';
  readonly isDisabled?: boolean;
  readonly onFile: (file: File) => void;
}

/** Opens the system's file dialog; the same file can be chosen again. */
export function FileButton({ children, accept, look = 'plain', isDisabled = false, onFile }: FileButtonProps) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <>
      <Button look={look} isDisabled={isDisabled} onPress={() => input.current?.click()}>
        {children}
      </Button>
      <input
        ref={input}
        type="file"
        accept={accept}
        className="visually-hidden"
        tabIndex={-1}
        aria-label={children}
        onChange={(event) => {
          const file = event.target.files?.[0];
          event.target.value = '';
          if (file !== undefined) onFile(file);
        }}
      />
    </>
  );
}
