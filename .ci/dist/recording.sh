# recording reports whether a recorder is at work, which is a process of its own.
recording() {
	for process in /proc/[0-9]*; do
		case $(tr '\0' ' ' 2>/dev/null <"$process/cmdline") in
		*arctally\ serve-recorder\ ) return 0 ;;
		esac
	done
	return 1
}

