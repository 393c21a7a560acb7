package hear
import ("testing";"os";"strings";"sort")
func TestDumpOrdinary(t *testing.T){
 if os.Getenv("DUMP")=="" {t.Skip()}
 ear:=house(t)
 s:=ear.spell; s.ordinary=map[string]bool{}
 seen:=map[string]bool{}; var out []string
 for _,f:=range []string{"/tmp/wam/usr/share/dict/american-english-small","/tmp/wam/usr/share/dict/british-english-small"} {
  b,_:=os.ReadFile(f)
  for _,w:=range strings.Split(string(b),"\n") {
   if w=="" || strings.ToLower(w)!=w || strings.ContainsAny(w,"'") {continue}
   plain:=normalise(w).text
   if seen[plain] {continue}; seen[plain]=true
   if s.knows(plain) {continue}
   if s.mend(plain)!="" {out=append(out,plain);continue}
   if _,b,_:=s.split(plain); b!="" {out=append(out,plain)}
  }
 }
 sort.Strings(out)
 os.WriteFile("ordinary.txt",[]byte(strings.Join(out,"\n")+"\n"),0o644)
}
