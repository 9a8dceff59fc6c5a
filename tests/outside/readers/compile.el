;; In: $FOUND, the text of 'rackspec inspect', as the output of a compilation in $FOLDER. Out: $TOLD, a JSON list with, for
;; each line that Emacs took for a finding: file, line, column and kind as it read them; and in which line, and how many
;; characters into it, the point stands after a jump there. With $SCREEN columns are taken for columns of the screen, as
;; Emacs does if nobody says otherwise; without it for characters.
(require 'compile)
(require 'json)
(setq coding-system-for-read 'utf-8 coding-system-for-write 'utf-8)

(defun landing (at)
  (save-excursion
    (save-window-excursion
      (setq compilation-current-error (copy-marker at))
      (compilation-next-error-function 0)
      (with-current-buffer (window-buffer (selected-window))
        (vector (line-number-at-pos) (1+ (- (point) (line-beginning-position))))))))

(defun reading (at message)
  (let ((loc (compilation--message->loc message)))
    `((file . ,(caar (compilation--loc->file-struct loc)))
      (line . ,(compilation--loc->line loc))
      (column . ,(compilation--loc->col loc))
      (kind . ,(aref ["note" "warning" "error"] (compilation--message->type message)))
      ;; where there is no such file, Emacs asks for one
      (lands . ,(if (file-exists-p (caar (compilation--loc->file-struct loc))) (landing at) [0 0])))))

(with-current-buffer (get-buffer-create "*compilation*")
  (setq default-directory (file-name-as-directory (getenv "FOLDER")))
  (insert-file-contents (getenv "FOUND"))
  (compilation-mode)
  (setq-local compilation-error-regexp-alist '(gnu))
  (setq-local compilation-error-screen-columns (and (getenv "SCREEN") t))
  (let ((inhibit-read-only t)) (compilation--ensure-parse (point-max)))
  (let ((at (point-min)) told)
    (while (< at (point-max))
      (let ((message (get-text-property at 'compilation-message)))
        (when message (push (reading at message) told)))
      (setq at (save-excursion (goto-char at) (forward-line 1) (point))))
    (with-temp-file (getenv "TOLD") (insert (json-encode (vconcat (nreverse told)))))))
