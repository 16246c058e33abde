package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"path"
	"strings"
)

//go:embed screens/*.html
var screenFiles embed.FS

// screens are the templates of all screens, by name. frame.html is around each of them.
type screens struct{ all map[string]*template.Template }

func readScreens() (*screens, error) {
	frame, err := template.New("frame").Funcs(template.FuncMap{"words": strings.Join}).ParseFS(screenFiles, "screens/frame.html", "screens/bits.html")
	if err != nil {
		return nil, err
	}
	files, err := screenFiles.ReadDir("screens")
	if err != nil {
		return nil, err
	}
	s := &screens{map[string]*template.Template{}}
	for _, f := range files {
		name := strings.TrimSuffix(f.Name(), path.Ext(f.Name()))
		if name == "frame" || name == "bits" {
			continue
		}
		t, err := frame.Clone()
		if err == nil {
			t, err = t.ParseFS(screenFiles, "screens/"+f.Name())
		}
		if err != nil {
			return nil, err
		}
		s.all[name] = t
	}
	return s, nil
}

// lay writes the page of a visit.
func (s *screens) lay(out io.Writer, v *visit) error {
	t, ok := s.all[v.screen]
	if !ok {
		return fmt.Errorf("no screen is called %q", v.screen)
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, "frame", v); err != nil {
		return err
	}
	_, err := out.Write(b.Bytes())
	return err
}
