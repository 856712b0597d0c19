;;; A user of Emacs at work: keys are typed as he would type them, and what Emacs shows is noted. -*- lexical-binding: t -*-

(require 'json)
(defvar plan
  (with-temp-buffer
    (insert-file-contents (getenv "FETTLE_PLAN"))
    (json-parse-buffer :object-type 'alist :array-type 'list)))
(defvar report nil)

(defun plan-of (&rest keys)
  "The value below KEYS."
  (let ((value plan))
    (dolist (key keys value) (setq value (alist-get key value)))))

(defun note (key value) (push (cons key value) report))

(defun till (condition)
  "The first answer of CONDITION that is something, or nil after 30 s."
  ;; As between two commands: while there is one, Flymake waits for its end, and the last of a keyboard macro stays.
  (let ((this-command nil) (end (+ (float-time) 30)) answer)
    (while (and (not (setq answer (funcall condition))) (< (float-time) end))
      ;; Timers, file notifications and the server's answers come in meanwhile. `sit-for' would not do: it returns at once while input
      ;; waits, a file notification is input, and nobody else reads it here, so that one that comes at the wrong moment would wait for ever.
      (redisplay)
      (read-event nil t 0.02)
      (accept-process-output nil 0.02))
    answer))

(defun type-keys (&rest parts)
  "Types PARTS: keys as `kbd' reads them, or lists of one text that is typed as it is."
  (execute-kbd-macro
   (apply #'vconcat (mapcar (lambda (part) (if (consp part) (string-to-vector (car part)) (kbd part))) parts))))

(defun visit (file)
  (type-keys "C-x C-f" "C-a C-k" (list (expand-file-name file (plan-of 'folder))) "RET")
  (switch-to-buffer (find-buffer-visiting (expand-file-name file (plan-of 'folder))))
  ;; Eglot connects behind the command that opens the first file, and Flymake, switched on there, starts behind the next one.
  (type-keys "C-a"))

(defun go (place)
  "Opens the file with point on the first place of the text in the line."
  (visit (alist-get 'file place))
  (goto-char (point-min))
  (forward-line (1- (alist-get 'line place)))
  (search-forward (alist-get 'at place) (line-end-position))
  (goto-char (match-beginning 0)))

(defun found ()
  (seq-filter #'flymake-diagnostic-beg (flymake-diagnostics)))

(defun sent (diagnostic)
  "DIAGNOSTIC as the server sent it."
  (alist-get 'eglot-lsp-diag (flymake-diagnostic-data diagnostic)))

(defun told-p (place)
  "Whether the finding of PLACE is shown."
  (with-current-buffer (find-buffer-visiting (expand-file-name (alist-get 'file place) (plan-of 'folder)))
    (seq-some (lambda (diagnostic)
                (and (equal (line-number-at-pos (flymake-diagnostic-beg diagnostic)) (alist-get 'line place))
                     (equal (plist-get (sent diagnostic) :code) (alist-get 'code place))))
              (found))))

(defun shown (diagnostic)
  (let* ((begin (flymake-diagnostic-beg diagnostic))
         (end (flymake-diagnostic-end diagnostic))
         (code (plist-get (sent diagnostic) :code))
         (heading (format "fettle [%s]: " code)))
    (unless (string-prefix-p heading (flymake-diagnostic-text diagnostic))
      (error "Not told as of Fettle: %s" (flymake-diagnostic-text diagnostic)))
    (save-excursion
      (list (cons 'line (line-number-at-pos begin))
            (cons 'column (progn (goto-char begin) (- (point) (line-beginning-position))))
            (cons 'endLine (line-number-at-pos end))
            (cons 'endColumn (progn (goto-char end) (- (point) (line-beginning-position))))
            (cons 'severity (plist-get (sent diagnostic) :severity))
            (cons 'code code)
            (cons 'message (string-remove-prefix heading (flymake-diagnostic-text diagnostic)))))))

(defun write-board (key)
  (let ((coding-system-for-write 'utf-8-unix))
    (write-region (plan-of 'board key) nil (expand-file-name (plan-of 'board 'file) (plan-of 'folder)) nil 'quiet)))

(defun documentation-buffer ()
  (seq-find (lambda (buffer) (string-prefix-p "*eldoc" (buffer-name buffer))) (buffer-list)))

(defun hover (place)
  (when (documentation-buffer) (kill-buffer (documentation-buffer)))
  (go place)
  (type-keys "M-x" '("eldoc") "RET")
  (prog1 (if (till (lambda () (and (documentation-buffer) (> (buffer-size (documentation-buffer)) 0))))
             (with-current-buffer (documentation-buffer) (buffer-substring-no-properties (point-min) (point-max)))
           "no hover")
    (delete-other-windows)))

(defun note-offered ()
  "The choices of the question that is just put."
  (when (string-match-p "action" (minibuffer-prompt))
    (note 'offered (vconcat (all-completions "" minibuffer-completion-table)))))

(defun session ()
  (let (diagnostics)
    (dolist (expected (plan-of 'files))
      (let ((file (alist-get 'file expected)))
        (visit file)
        (till (lambda () (and (bound-and-true-p eglot--managed-mode) (>= (length (found)) (alist-get 'count expected)))))
        (push (cons (intern file) (vconcat (mapcar #'shown (found)))) diagnostics)))
    (note 'diagnostics diagnostics))

  (let ((pull-up (plan-of 'pullUp)))
    (visit (alist-get 'file pull-up))
    (write-board 'changed)
    (let ((gone (till (lambda () (not (told-p pull-up))))))
      (write-board 'there)
      (note 'boardChanged
            (list (cons 'gone (if gone t :json-false))
                  (cons 'back (if (till (lambda () (told-p pull-up))) t :json-false)))))

    (note 'hover (hover pull-up))
    (note 'hoverOnBranch (hover (plan-of 'branch)))

    (go pull-up)
    (add-hook 'minibuffer-setup-hook #'note-offered)
    (type-keys "M-x" '("eglot-code-actions") "RET" (list (alist-get 'fix pull-up)) "RET")
    (remove-hook 'minibuffer-setup-hook #'note-offered)
    (till (lambda () (string-match-p "2200" (thing-at-point 'line))))
    (type-keys "C-x C-s")
    (note 'goneAfterFix (if (till (lambda () (not (told-p pull-up)))) t :json-false)))

  (go (plan-of 'rename))
  (type-keys "M-x" '("eglot-rename") "RET" (list (plan-of 'rename 'to)) "RET")
  (till (lambda () (string-match-p (plan-of 'rename 'to) (thing-at-point 'line))))
  (type-keys "C-x s" "!")

  (go (plan-of 'definition))
  (type-keys "M-.")
  (till (lambda () (not (equal (file-name-nondirectory buffer-file-name) (plan-of 'definition 'file)))))
  (note 'definition (list (cons 'file (file-name-nondirectory buffer-file-name)) (cons 'line (line-number-at-pos))))

  (visit (plan-of 'completion 'file))
  (goto-char (point-max))
  (type-keys (list (plan-of 'completion 'typed)))
  ;; Not typed, and waited for without a look at input: Eglot gives up an answer when input waits, and here file notifications are input.
  ;; The first adds what all have in common.
  (till (lambda ()
          (cl-letf (((symbol-function 'sit-for) (lambda (seconds &rest _) (accept-process-output nil seconds) t)))
            (call-interactively #'completion-at-point))
          (get-buffer "*Completions*")))
  (note 'completion
        (vconcat (with-current-buffer "*Completions*"
                   (split-string (buffer-substring-no-properties (point-min) (point-max)) "[ \t\n]+" t)))))

(defun events ()
  "The last of what Emacs and the server said to each other."
  (let ((buffer (seq-find (lambda (buffer) (string-match-p "\\`\\*EGLOT.*events\\*" (buffer-name buffer))) (buffer-list))))
    (if buffer
        (with-current-buffer buffer
          (buffer-substring-no-properties (max (point-min) (- (point-max) 20000)) (point-max)))
      "")))

(condition-case problem (session)
  (error
   (note 'error (format "%S" problem))
   (note 'events (events))))
(note 'messages (with-current-buffer "*Messages*" (buffer-string)))
(let ((coding-system-for-write 'utf-8-unix))
  (write-region (json-encode report) nil (plan-of 'report) nil 'quiet))
(kill-emacs)
