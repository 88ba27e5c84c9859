(()=>{function Mi(n,t){return Ss(n,n.parts?.find(({name:e})=>e===t)?.status)}function Ss(n,t){return t&&n.signs?.doubts?.[t]?t:""}function mh(n,t){let e=Mi(n,t);if(!e)return"";let{known:i}=n.parts.find(s=>s.name===t);return Ka(n,i.find(s=>s.status===e)??{status:e})}function Ka(n,{status:t,why:e,source:i}){let s=e??i??n.signs?.doubts?.[t]?.says;return s?`${t}: ${s}`:t}var Im="http://www.w3.org/2000/svg";function y(n,t={},...e){let[i,...s]=n.split("."),r=document.createElement(i);return s.length&&(r.className=s.join(" ")),i==="button"&&(r.type="button"),gh(r,t),r.append(...e.flat().filter(o=>o!=null&&o!=="")),r}function Ae(n,t={},...e){let i=document.createElementNS(Im,n);return gh(i,t),i.append(...e),i}function xt(n){return y("bdi.name",{dir:"auto"},n)}function cn(n,t=""){let e={fault:()=>Ae("circle",{cx:16,cy:16,r:14}),caution:()=>Ae("path",{d:"M16 1.5 31 29.5H1Z","stroke-linejoin":"round"}),note:()=>Ae("rect",{x:3,y:3,width:26,height:26})},i=Ae("text",{x:16,y:n==="caution"?26:21,"text-anchor":"middle"},String(t));return String(t).length>2&&i.setAttribute("class","long"),Ae("svg",{class:`badge ${n}`,viewBox:"0 0 32 32","aria-hidden":"true",focusable:"false"},e[n](),i)}function An(n){let t=n.filter(([,e])=>e!=null&&e!=="");return y("dl.terms",{},...t.map(([e,i])=>y("div",{},y("dt",{},e),y("dd",{},i))))}function gh(n,t){for(let[e,i]of Object.entries(t))e.startsWith("on")?n.addEventListener(e.slice(2),i):i!=null&&i!==!1&&n.setAttribute(e,i===!0?"":i)}var Pm=/(?<=\d) (?=(?:mm|kPa|in)\b)/g,Lm=/(?<![\w.])([-\u2212]?)(\d+(?:\.\d+)?) mm\b/g;function ni(n,t){if(t==="in")return Nm(n);let e=Math.abs(n).toFixed(1);return(n<0&&Number(e)?"−":"")+e}function hn(n,t){return ni(n,t)+" "+t}function bs(n,t){if(n!==0&&ni(n,"in")==="0")return hn(n,"mm");let e=hn(n,t);return t==="in"&&Math.abs(n)<25.4&&n!==0?`${e} (${hn(n,"mm")})`:e}function ii(n,t,e=[]){if(!n.includes(" mm")&&!n.includes(" kPa"))return n;let i=e.find(r=>n.includes(r));if(i)return n.split(i).map(r=>ii(r,t,e)).join(i);let s=t==="mm"?n:n.replace(Lm,(r,o,a)=>bs((o?-1:1)*Number(a),t));return ja(s)}function ja(n){return n.replace(Pm," ")}function Nm(n){let t=Math.round(Math.abs(n)*1e5),e=Math.floor((t*16+127e4)/254e4),i=Math.floor(e/16),s=e%16,r=16;for(;s&&s%2===0;)s/=2,r/=2;let o=[i||!s?String(i):"",s?`${s}/${r}`:""].filter(Boolean);return(n<0&&e?"−":"")+o.join(" ")}var Dm=/[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]/;function zn(n,t){let e=new Set,i=Um(n),s=i.filter(h=>/ (?:mm|kPa)\b/.test(h)),r=i.filter(h=>Dm.test(h)),o=t.on("unit",({unit:h})=>e.forEach(d=>d(h)));function a(h,d){let u=f=>h.replaceChildren(...[d(f)].flat());return u(t.get().unit),e.add(u),h}let l=h=>ii(Cr(h),t.get().unit,s),c=h=>i.some(d=>h.startsWith(`${d} `))?h:Le(h);return{figure:h=>a(y("span.figure"),d=>ni(h,d)),length:h=>a(y("span.figure"),d=>hn(h,d)),fine:h=>a(y("span.figure"),d=>bs(h,d)),shown:h=>a(y("span"),h),sentence:h=>{let d=Cr(c(h));return a(y("span.sentence"),u=>_h(ii(d,u,s),r))},plain:l,end:o}}function Cr(n){return n.replace(/(?<=\d)\.\.(?=\d)/g,"–").replace(/`([^`]+)`/g,"“$1”")}function _h(n,t){let e=t.find(i=>n.includes(i));return e?n.split(e).flatMap((i,s)=>[...s?[xt(e)]:[],...i?_h(i,t):[]]):[n]}function Um(n){let t=["tubes","solids","spaces","passages","nipples","parts"].flatMap(i=>n[i]??[]),e=new Set(t.flatMap(i=>[i.name,i.tag,i.part,i.tubing]));return e.delete(void 0),[...e].filter(Boolean).sort((i,s)=>s.length-i.length)}function En(n){return n<=.005?"at rest":n>=.995?"at full travel":`at ${Math.round(100*n)} % of its travel`}function ae(n,t){return`${n||"no"} ${t}${n===1?"":"s"}`}function Le(n){return n.slice(0,1).toUpperCase()+n.slice(1)}var Om={tube:"tubes",solid:"solids",passage:"passages",part:"parts",finding:"findings"},Fm={finding:"found",tube:"tubes",passage:"passages"};function He(n,t,e){let{mode:i}=n.get();n.set({chosen:{kind:t,index:e},mode:i==="bench"?i:Fm[t]??i})}function Ir(n,t,e){Si(n.get(),t,e)?n.set({chosen:null}):He(n,t,e)}function Si(n,t,e){return n.chosen?.kind===t&&n.chosen.index===e}function ws(n,t,e){let i=n.findings.length;if(!i)return;let{chosen:s}=t.get(),r=s?.kind==="finding"?s.index:e>0?-1:0;He(t,"finding",(r+e+i)%i)}function Pr(n,t){let e=t&&n[Om[t.kind]]?.[t.index];return e?Bm[t.kind](e,n):""}var Bm={finding:n=>`${bi(n)} ${n.number}: ${n.subject} – ${n.says}`,tube:(n,t)=>Qa(`Tube ${Ts(n)}, from ${n.from} to ${n.to}`,Ss(t,n.status)),passage:n=>`Passage ${n.name}, ${ae(n.tubes.length,"tube")}`,part:(n,t)=>Qa(`Part ${n.name}`,Mi(t,n.name)),solid:(n,t)=>Qa(km(n),mh(t,n.part))},Qa=(...n)=>n.filter(Boolean).join(" – ");function bi(n){return{fault:"Fault",caution:"Caution",note:"Note"}[n.severity]}function Ts(n){return!n.tag||n.tag===n.name?n.name:`${n.tag} (${n.name})`}function km(n){let t=n.part&&!n.name.startsWith(n.part)?` of ${n.part}`:"";return`${n.name}${t}, ${n.kind.replaceAll("_"," ")}${n.movement?", which moves":""}`}function xh(n,t,e){e.on("chosen",({chosen:i})=>{n.textContent=ii(Pr(t(),i),e.get().unit)||"Nothing is chosen."})}var tl=[{title:"Left to right",way:"right",sides:["left","right"]},{title:"Front to back",way:"back",sides:["front","back"]},{title:"Up and down",way:"up",sides:["lower part","upper part"]}];function vh({lay:n,state:t,until:e}){let i=y("select",{"aria-label":"Cut along",onchange:()=>t.set({cut:i.value===""?null:Gm(n,Number(i.value))})},y("option",{value:""},"Whole"),...tl.map(({title:h},d)=>y("option",{value:d},h))),s=y("input",{type:"range","aria-label":"Where it is cut",oninput:()=>t.set({cut:{...t.get().cut,at:Number(s.value)}})}),r=y("output.where"),o=y("button",{onclick:()=>t.set({cut:{...t.get().cut,keep:-t.get().cut.keep}})}),a=y("span.more",{},s,r,o),l=()=>zm({axis:i,slider:s,where:r,side:o,more:a},n,t.get());return e(t.on(["cut","unit"],l)),l(),y("div.group.cut",{role:"group","aria-label":"Cut","data-tool":"Cut"},y("span.title",{},"Cut"),i,a)}function zm({axis:n,slider:t,where:e,side:i,more:s},r,{cut:o,unit:a}){if(s.hidden=!o,n.value=o?String(o.axis):"",!o)return;let[l,c]=[r.bounds[0][o.axis],r.bounds[1][o.axis]];Object.assign(t,{min:l,max:c,step:Math.max((c-l)/400,.1)}),t.value=o.at;let h=`${hn(o.at,a)} ${tl[o.axis].way}`;e.textContent=h,t.setAttribute("aria-valuetext",h),i.textContent=`Keeps the ${tl[o.axis].sides[o.keep>0?1:0]}`}function Gm(n,t){let e=(n.bounds[0][t]+n.bounds[1][t])/2;return{axis:t,at:e,keep:t===1?1:-1}}var Vm=[["to the right","to the left"],["back","forward"],["up","down"]];function yh({state:n,until:t}){let e=a=>n.set({measuring:a,ends:[]}),i=y("button",{onclick:()=>e(!n.get().measuring)},"Measure"),s=y("output.measured"),r=()=>{let a=n.get();i.setAttribute("aria-pressed",String(a.measuring)),s.textContent=a.measuring?Hm(a.ends,a.unit):""};return t(n.on(["measuring","ends","unit"],r)),r(),y("div.group.measure",{role:"group","aria-label":"Measure","data-tool":"Measure",onopened:({detail:a})=>e(a)},i,s)}function Mh(n,t){let{ends:e}=n.get();n.set({ends:e.length===1?[...e,t]:[t]})}function Hm(n,t){if(n.length<2)return n.length?"Touch the second point.":"Touch the first point.";let e=n[1].map((r,o)=>r-n[0][o]),i=(r,[o,a])=>`${hn(Math.abs(r),t)} ${r>0?o:a}`,s=e.flatMap((r,o)=>Math.abs(r)<.05?[]:[i(r,Vm[o])]);return`${hn(Math.hypot(...e),t)} apart${s.length?`: ${s.join(", ")}`:""}.`}function Sh(n){let{lay:t,state:e,until:i}=n,s=t.solids.flatMap((h,d)=>h.movement?[d]:[]);if(!s.length)return null;let r=Wm(t,s,e),o=y("input",{type:"range",min:0,max:100,step:1,"aria-label":"How far along its travel",oninput:()=>e.set({press:{...e.get().press,share:Number(o.value)/100}})}),a=y("output.where"),l=y("p.least"),c=()=>{let{share:h,only:d}=e.get().press;(!(document.activeElement===o)||Math.abs(Number(o.value)/100-h)>.01)&&(o.value=100*h),r.value=d===null?"":String(d),a.textContent=En(h),o.setAttribute("aria-valuetext",En(h)),l.replaceChildren(...Xm(n,s,d))};return i(e.on(["press","unit"],c)),c(),y("div.group.travel",{role:"group","aria-label":"Travel","data-tool":"Travel"},y("span.title",{},"Travel"),r,o,a,l)}function Wm(n,t,e){let i=new Map;for(let a of t){let{part:l}=n.solids[a];i.set(l,[...i.get(l)??[],a])}let s=a=>y("option",{value:a,dir:"auto"},n.solids[a].name),r=[...i].map(([a,l])=>l.length>1?y("optgroup",{label:a},...l.map(s)):s(l[0])),o=y("select",{"aria-label":"What moves",onchange(){let a=o.value===""?null:Number(o.value);e.set({press:{...e.get().press,only:a}})}},y("option",{value:""},"All that moves"),...r);return o}function Xm({lay:n,state:t,texts:e},i,s){let r=(s===null?i:[s]).filter(f=>n.solids[f].least);if(!r.length){let f=s===null?"anything that moves":"it";return[`No tube comes within ${e.said(n.reach)} of ${f}.`]}let o=r.reduce((f,g)=>n.solids[g].least.mm<n.solids[f].least.mm?g:f),{least:a,name:l}=n.solids[o],c=a.travel??0,h={kind:"tube",index:a.tube,near:!0},d=()=>t.set({chosen:h,press:{share:c,only:o}}),u=s===null?["between ",xt(l)," and tube "]:["to tube "];return[`The least clearance from ${s===null?"all that moves":"it"} is ${e.said(a.mm)}, `,...u,xt(Ts(n.tubes[a.tube])),`, ${En(c)}. `,y("button.link",{onclick:d},"Go there")]}function bh(n,t,e,i){let s={...zn(t,e),said:c=>bs(c,e.get().unit)},r=[s.end],o={lay:t,state:e,texts:s,until:c=>r.push(c)},a=i?[vh(o),qm(t,i),yh(o)]:[],l=[Sh(o),...a,$m(o)].filter(Boolean);return n.replaceChildren(Ym(l),...l),()=>r.forEach(c=>c())}function qm(n,t){let e=n.views.map(i=>y("button",{onclick:()=>t.fly(i)},i.title));return y("div.group.views",{role:"group","aria-label":"Views","data-tool":"Views"},...e)}function $m({state:n,until:t}){let e=(o,a,l)=>{let c=l.map(([d,u])=>y("button",{onclick:()=>n.set({[o]:d})},u)),h=()=>c.forEach((d,u)=>d.setAttribute("aria-pressed",String(n.get()[o]===l[u][0])));return t(n.on(o,h)),h(),y("div.pair",{role:"group","aria-label":a},...c)},i=e("unit","Unit",[["mm","mm"],["in","in"]]),s=e("theme","Light or dark",[["light","Light"],["dark","Dark"]]);return y("div.group.switches",{role:"group","aria-label":"Unit and light","data-tool":"Units"},i,s)}function Ym(n){let t=r=>{for(let[o,a]of n.entries()){let l=a.classList.contains("open"),c=a===r&&!l;a.classList.toggle("open",c),e[o].setAttribute("aria-expanded",String(c)),c!==l&&a.dispatchEvent(new CustomEvent("opened",{detail:c}))}},e=n.map(r=>y("button",{"aria-expanded":"false",onclick:()=>t(r)},r.dataset.tool)),i=y("div.tools",{role:"group","aria-label":"More controls"},...e),s=r=>{let o=n.findIndex(a=>a.classList.contains("open"));r.key!=="Escape"||o<0||!i.offsetParent||(r.preventDefault(),t(null),e[o].focus())};for(let r of[i,...n])r.addEventListener("keydown",s);return i}var ue=(n,t)=>[n[0]+t[0],n[1]+t[1],n[2]+t[2]],qt=(n,t)=>[n[0]-t[0],n[1]-t[1],n[2]-t[2]],le=(n,t)=>[n[0]*t,n[1]*t,n[2]*t],qe=(n,t,e)=>[n[0]+e*t[0],n[1]+e*t[1],n[2]+e*t[2]],Qt=(n,t)=>n[0]*t[0]+n[1]*t[1]+n[2]*t[2],$e=(n,t)=>[n[1]*t[2]-n[2]*t[1],n[2]*t[0]-n[0]*t[2],n[0]*t[1]-n[1]*t[0]],_e=n=>Math.hypot(n[0],n[1],n[2]),wh=(n,t,e)=>[n[0]+(t[0]-n[0])*e,n[1]+(t[1]-n[1])*e,n[2]+(t[2]-n[2])*e];function Ne(n,t=[0,0,1]){let e=_e(n);return e>0?le(n,1/e):[...t]}function Th(n){let t=Math.abs(n[2])<.9?[0,0,1]:[1,0,0];return Ne($e(t,n))}function As(n,t,e){let i=Math.cos(e),s=Math.sin(e),r=Qt(t,n)*(1-i),o=$e(t,n);return[n[0]*i+o[0]*s+t[0]*r,n[1]*i+o[1]*s+t[1]*r,n[2]*i+o[2]*s+t[2]*r]}function Lr(n,t){if(!n||t===0)return null;let e=Ne(n.axis);if(n.kind==="slide"){let i=n.mm*t;return[1,0,0,i*e[0],0,1,0,i*e[1],0,0,1,i*e[2]]}return Zm(e,n.at,n.deg*t*Math.PI/180)}function Zm([n,t,e],i,s){let r=Math.cos(s),o=Math.sin(s),a=1-r;return[[r+n*n*a,n*t*a-e*o,n*e*a+t*o],[t*n*a+e*o,r+t*t*a,t*e*a-n*o],[e*n*a-t*o,e*t*a+n*o,r+e*e*a]].flatMap((c,h)=>[...c,i[h]-c[0]*i[0]-c[1]*i[1]-c[2]*i[2]])}function Es(n,t,e,i,s){if(!n){for(let r=i;r<i+s;r++)e[r]=t[r];return}for(let r=i;r<i+s;r+=3){let[o,a,l]=[t[r],t[r+1],t[r+2]];e[r]=n[0]*o+n[1]*a+n[2]*l+n[3],e[r+1]=n[4]*o+n[5]*a+n[6]*l+n[7],e[r+2]=n[8]*o+n[9]*a+n[10]*l+n[11]}}function Ah(n,t,e,i,s){for(let r=i;r<i+s;r+=4){let[o,a,l]=[t[r],t[r+1],t[r+2]];for(let c=0;c<3;c++)e[r+c]=n?n[4*c]*o+n[4*c+1]*a+n[4*c+2]*l:t[r+c]}}var Rs=(n,t,e)=>e==null||e===n?t:0;function nl(n,t){let e=Km(n,t),i=new Set(e.faded);return{tubes:n.tubes.map((s,r)=>e.tube(r)),solids:n.solids.map((s,r)=>Jm(s,r,t,i)),passages:new Set(t.chosen?.kind==="passage"?[t.chosen.index]:[]),findings:e.findings,labelled:e.labelled,shares:s=>e.moved?.[0]===s?e.moved[1]:Rs(s,t.press.share,t.press.only)}}function Jm(n,t,e,i){let s=e.parts[n.part];if(s)return s;let{chosen:r}=e;return r?.kind==="solid"&&r.index===t?"lit":i.has(n.name)?"faded":"plain"}function Km(n,t){if(t.mode==="bench"&&t.now!==null)return jm(t);let{chosen:e}=t;return e?.kind==="finding"&&n.findings[e.index]?Qm(n.findings[e.index],e.index):e?.kind==="tube"?el([e.index],{labelled:[e.index]}):e?.kind==="passage"&&n.passages[e.index]?el(n.passages[e.index].tubes,{}):{tube:()=>"plain",faded:[],findings:null,labelled:new Set}}function jm(n){return{tube:t=>t===n.now?"lit":n.laid.has(t)?"plain":"hidden",faded:[],findings:new Set,labelled:new Set([n.now])}}function Qm(n,t){return{...el(n.tubes,{faded:n.faded,findings:[t],labelled:n.tubes}),moved:n.moved}}function el(n,{faded:t=[],findings:e=[],labelled:i=[]}){let s=new Set(n);return{tube:r=>s.has(r)?"lit":"faded",faded:t,findings:new Set(e),labelled:new Set(i)}}function Rh(n,t){let e=new Map,i=null,s=o=>{let{left:a,top:l}=n.getBoundingClientRect();return[o.clientX-a,o.clientY-l]},r={pointerdown(o){n.setPointerCapture?.(o.pointerId),e.set(o.pointerId,s(o)),i=e.size===1?s(o):null},pointermove(o){if(!e.has(o.pointerId))return;let a=Eh(e);e.set(o.pointerId,s(o)),tg(a,Eh(e),t)},pointerup(o){let[a,l]=s(o);e.size===1&&i&&Math.hypot(a-i[0],l-i[1])<6&&t.tap([a,l]),e.delete(o.pointerId)},pointercancel:o=>e.delete(o.pointerId),wheel(o){o.preventDefault(),t.zoom(Math.exp(-o.deltaY*(o.deltaMode?.05:.0015)),s(o))},keydown(o){o.ctrlKey||o.altKey||o.metaKey||!t.keys[o.key]||(o.preventDefault(),t.keys[o.key]())}};n.style.touchAction="none";for(let[o,a]of Object.entries(r))n.addEventListener(o,a,{passive:!1})}function tg(n,t,e){e.pan(t.middle[0]-n.middle[0],t.middle[1]-n.middle[1]),n.apart>1&&t.apart>1&&e.zoom(t.apart/n.apart,t.middle)}function Eh(n){let t=[...n.values()],e=r=>t.reduce((o,a)=>o+a[r],0)/t.length,[i,s]=t;return{middle:[e(0),e(1)],apart:s?Math.hypot(s[0]-i[0],s[1]-i[1]):0}}var eg=Math.tan(12*Math.PI/180),Ch=1.12,ng=.6,ig=12,sg=1;function Gi(n){let t=Ne(qt(n.eye,n.target)),e=Ne($e(n.up,t));return[e,$e(t,e),t]}function Is(n,t,e,i){let[s,r,o]=Gi(n),a=_e(qt(n.eye,n.target)),l=i/n.height,c=new Float64Array(t.length);for(let h=0;h+2<t.length;h+=3){let d=[t[h]-n.target[0],t[h+1]-n.target[1],t[h+2]-n.target[2]],u=a-Qt(d,o),f=n.parallel?l:u>sg?l*a/u:NaN;c[h]=e/2+f*Qt(d,s),c[h+1]=i/2-f*Qt(d,r),c[h+2]=Number.isNaN(f)?NaN:u}return c}function Ph(n,t,e){let i=_e(qt(n.eye,n.target));return e/n.height*(n.parallel?1:i/t)}function Vi(n,t,e,i){let[s,r]=Gi(n),o=n.height/i,a=l=>qe(qe(l,s,-t*o),r,e*o);return{...n,eye:a(n.eye),target:a(n.target)}}function il(n,t,e,i,s){let[r,o]=Gi(n),a=n.height/s*(1-1/t),l=qe(le(r,(e[0]-i/2)*a),o,-(e[1]-s/2)*a),c=ue(n.target,l),h=qt(n.eye,n.target);return{...n,target:c,eye:qe(c,h,1/t),height:n.height/t}}function Ps(n,t,e,i,{parallel:s=!1,least:r=60}={}){let o=Ne(n),a=sl(e),l=4*Math.max(rg(e),r);for(let c=0;c<ig;c+=1){let h=Ih(a,o,t,l,s),{centre:d,reach:u}=og(Is(h,e,2,2),l),[f,g]=Gi(h);a=qe(qe(a,f,d[0]),g,d[1]),l=Ch*2*Math.max(u[1],u[0]/i,r/2/Ch)}return{...Ih(a,o,t,l,s),aspect:i}}function Nr(n,t,e){let i=n.tubes[t]?.points;if(!i?.length)return null;let s=n.views.map(l=>({out:qt(l.eye,l.target),up:l.up}));s.length||s.push({out:[.5,-1,.36],up:[0,0,1]});let r=s.map(l=>ag(i,l)),o=r.indexOf(Math.max(...r)),a=r[0]<ng?s[o]:s[0];return Ps(a.out,a.up,i,e,{least:150})}function Ih(n,t,e,i,s){return{eye:qe(n,t,i/2/eg),target:n,up:e,height:i,parallel:s}}function sl(n){return[0,1,2].map(t=>{let[e,i]=Cs(n,t);return(e+i)/2})}function rg(n){return Math.hypot(...[0,1,2].map(t=>Cs(n,t)[1]-Cs(n,t)[0]))}function Cs(n,t){let e=1/0,i=-1/0;for(let s=t;s<n.length;s+=3)e=Math.min(e,n[s]),i=Math.max(i,n[s]);return[e,i]}function og(n,t){let[e,i]=Cs(n,0),[s,r]=Cs(n,1),o=t/2;return{centre:[((e+i)/2-1)*o,(1-(s+r)/2)*o],reach:[(i-e)/2*o,(r-s)/2*o]}}function ag(n,t){let e=Ne(t.out),i=0,s=0;for(let r=3;r+2<n.length;r+=3){let o=[n[r]-n[r-3],n[r+1]-n[r-2],n[r+2]-n[r-1]],a=_e(o);i+=a,s+=Math.sqrt(Math.max(0,a**2-Qt(o,e)**2))}return i>0?s/i:1}var Nh={lit:1,plain:1,faded:.16},rl={half:3,colour:"#2e2e2e"};function Dh(n,t,e){let i=e.emphasis.tubes.filter(o=>o==="lit").length<=3,s=t.tubes.flatMap((o,a)=>cg(t,o,e.emphasis.tubes[a],e)),r={faded:0,plain:1,lit:2};s.sort((o,a)=>r[o.word]-r[a.word]||a.depth-o.depth);for(let o of s)pg(n,o,{...e,few:i});n.setLineDash([]),t.tubes.forEach((o,a)=>lg(n,o,e.emphasis.tubes[a],e)),n.globalAlpha=1}function lg(n,{taped:t},e,{placed:i,text:s}){if(e==="hidden"||!t)return;let r=i(t);n.globalAlpha=Nh[e],n.fillStyle=s;for(let o=0;o<r.length;o+=3)n.beginPath(),n.arc(r[o],r[o+1],2,0,2*Math.PI),n.fill()}function cg(n,t,e,i){if(e==="hidden"||!t.points?.length)return[];let s=n.looks[t.marked??t.look],r={word:e,look:s,bands:hg(n,t)},o=i.placed(t.points),a=Oh(o),l=[];for(let c=0;c<a.length-1;c+=5){let h=Math.min(c+5,a.length-1),d=(o[3*c+2]+o[3*h+2])/2;Number.isNaN(d)||l.push({...r,places:o,along:a,from:c,to:h,depth:d,wide:Math.max(1.6,t.outside*i.scale(d))})}return[...l,...ug(t,r,i),...dg(t,r,i)]}function hg(n,t){let e=t.marked===null?n.signs.doubts?.[t.status]:n.signs.bands[t.severity];return e?[e.every*e.share,e.every*(1-e.share)]:null}function ug(n,t,e){return n.sleeves.flatMap(({from:i,to:s,radius:r})=>Uh([...i,...s],2*r,{...t,bands:null},e))}function dg(n,t,e){let i={...t.look,colour:rl.colour};return n.ties.flatMap(({along:s})=>{let r=fg(n.points,s-rl.half,s+rl.half);return r.length<6?[]:Uh(r,1.25*n.outside,{...t,look:i,bands:null},e)})}function Uh(n,t,e,i){let s=i.placed(n),r=Oh(s),o=s[2]-.01;return s.some(Number.isNaN)?[]:[{...e,places:s,along:r,from:0,to:r.length-1,depth:o,wide:Math.max(1.6,t*i.scale(o))}]}function fg(n,t,e){let i=[],s=0;for(let r=0;r+5<n.length;r+=3){let o=Math.hypot(n[r+3]-n[r],n[r+4]-n[r+1],n[r+5]-n[r+2]),[a,l]=[Math.max(t,s),Math.min(e,s+o)];a<=l&&o>0&&(i.length||i.push(...Lh(n,r,(a-s)/o)),i.push(...Lh(n,r,(l-s)/o))),s+=o}return i}function Lh(n,t,e){return[0,1,2].map(i=>n[t+i]+e*(n[t+3+i]-n[t+i]))}function Oh(n){let t=new Float64Array(n.length/3);for(let e=1;e<t.length;e+=1){let i=Math.hypot(n[3*e]-n[3*e-3],n[3*e+1]-n[3*e-2]);t[e]=t[e-1]+(Number.isNaN(i)?0:i)}return t}function pg(n,t,e){let{look:i,word:s,wide:r,from:o,to:a,bands:l,along:c}=t;n.globalAlpha=Nh[s],n.lineCap="butt",n.setLineDash([]);let h=s==="lit"&&e.few;h&&Dr(n,t,o,a,{colour:e.paper,wide:r+4*2.4});let d=h?{colour:e.text,px:2.4}:{colour:i.outline,px:.8};Dr(n,t,o,a,{colour:d.colour,wide:r+2*d.px});let[u,f]=[Math.max(0,o-1),Math.min(c.length-1,a+1)];Dr(n,t,u,f,{colour:i.colour,wide:r}),l&&(n.setLineDash(l.map(g=>g*r)),n.lineDashOffset=c[u],Dr(n,t,u,f,{colour:i.second,wide:r}))}function Dr(n,{places:t},e,i,{colour:s,wide:r}){n.strokeStyle=s,n.lineWidth=r,n.beginPath();for(let o=e;o<=i;o+=1)Number.isNaN(t[3*o])||n.lineTo(t[3*o],t[3*o+1]);n.stroke()}var Bh="system-ui, sans-serif";function kh(n,t,e,{emphasis:i}){n.globalAlpha=1;for(let s=t.findings.length-1;s>=0;s-=1){let r=t.findings[s];if(!r.point||i.findings&&!i.findings.has(s))continue;let[o,a]=e(r.point);Number.isNaN(o)||mg(n,[o,a],r,t.signs.badges[r.severity])}}function mg(n,[t,e],{number:i},s){n.beginPath(),gg[s.shape](n,t,e),n.fillStyle=s.fill,n.strokeStyle=s.rim,n.lineWidth=1.5,n.fill(),n.stroke(),n.fillStyle=s.text,n.font=`600 ${i>99?9:12}px ${Bh}`,n.textAlign="center",n.textBaseline="middle",n.fillText(String(i),t,e+(s.shape==="triangle"?4:1))}var gg={disc:(n,t,e)=>n.arc(t,e,11,0,2*Math.PI),triangle:(n,t,e)=>{n.moveTo(t,e-1.3*11),n.lineTo(t+1.3*11,e+11),n.lineTo(t-1.3*11,e+11),n.closePath()},square:(n,t,e)=>n.rect(t-11,e-11,22,22)};function zh(n,t,e,i){n.globalAlpha=1;let s=[];for(let r of i.emphasis.labelled){let{points:o,tag:a}=t.tubes[r];if(!o?.length)continue;let l=3*Math.floor(o.length/6);Fh(n,e(o.slice(l,l+3)),{words:a,size:18,colour:i.text},{how:i,taken:s})}for(let r of t.passages){let o=t.looks[r.look].line;Fh(n,e(r.middle),{words:r.name,size:12,colour:i.dark?i.text:o},{how:i,taken:s})}}function Fh(n,[t,e],{words:i,size:s,colour:r},{how:o,taken:a}){if(!(t>0&&t<o.wide&&e>0&&e<o.high))return;let l=[...i],c=l.length>40?`${l.slice(0,40).join("")}…`:i;n.font=`600 ${s}px ${Bh}`;let h=n.measureText(c).width,d=Math.min(Math.max(2,t+8),o.wide-h-2),u={left:d,right:d+h,top:e-8-s,bottom:e-8};a.some(f=>_g(u,f))||(a.push(u),n.textAlign="left",n.textBaseline="alphabetic",n.setLineDash([]),n.lineWidth=4,n.strokeStyle=o.paper,n.strokeText(c,d,e-10),n.fillStyle=r,n.fillText(c,d,e-10))}function _g(n,t){return n.left<t.right&&t.left<n.right&&n.top<t.bottom&&t.top<n.bottom}var Gh={lit:1,plain:1,faded:.22},Hh=.4,ol=new WeakMap;function Wh(n,t,e,i){n.fillStyle=i.paper,n.fillRect(0,0,i.wide,i.high),n.lineJoin="round";let s=o=>Is(e,o,i.wide,i.high),r=o=>Ph(e,o,i.high);for(let o of Ag(t,e))xg(n,t,o,s,i);n.globalAlpha=1;for(let o of t.spaces)vg(n,t,o,s);Tg(n,t,s,r),Dh(n,t,{...i,placed:s,scale:r}),t.passages.forEach((o,a)=>{let l=t.looks[o.marked??o.look];Ls(n,s(o.lines),null,{look:l,times:i.emphasis.passages.has(a)?2.5:1})}),zh(n,t,s,i),kh(n,t,s,i)}function xg(n,t,e,i,{emphasis:s}){let r=s.solids[e];if(r==="hidden")return;let o=t.solids[e],a=t.forms[o.form],l=t.looks[o.marked??o.look],c=i(Xh(a.points,o.at,Lr(o.movement,s.shares(e)))),h=yg(a.triangles,c);n.globalAlpha=Gh[r],r!=="faded"&&Mg(n,a,{places:c,isSeen:h,look:l});let d=r==="lit"?2.5:1,[u,f]=bg(a,h);Ls(n,c,u,{look:l,times:d}),!(l.opacity>=t.signs.opacities.opaque&&r!=="faded")&&(n.globalAlpha=Gh[r]*Hh,Ls(n,c,f,{look:l,times:d}))}function vg(n,t,e,i){let s=t.forms[e.form],r=t.looks[e.marked??e.look],o=i(Xh(s.points,e.at,null));Ls(n,o,s.lines.subarray(0,2*s.edges),{look:r,times:1}),n.globalAlpha=Hh;let a={...r,dashes:[]};Ls(n,o,s.lines.subarray(2*s.edges),{look:a,times:.7}),n.globalAlpha=1}function Xh(n,t,e){let i=Float64Array.from(n,(s,r)=>s+t[r%3]);return Es(e,i,i,0,i.length),i}function yg(n,t){let e=new Uint8Array(n.length/3);for(let i=0;i<e.length;i+=1){let[s,r,o]=[3*n[3*i],3*n[3*i+1],3*n[3*i+2]],a=(t[r]-t[s])*(t[o+1]-t[s+1]);e[i]=a-(t[r+1]-t[s+1])*(t[o]-t[s])<0?1:0}return e}function Mg(n,{triangles:t,second:e},{places:i,isSeen:s,look:r}){let o=n.globalAlpha,a=e??s.length;n.globalAlpha=o*r.opacity;for(let[l,c,h]of[[a,s.length,r.second||r.colour],[0,a,r.colour]]){n.fillStyle=h,n.beginPath();for(let d=l;d<c;d+=1)s[d]&&Sg(n,i,t,3*d);n.fill()}n.globalAlpha=o}function Sg(n,t,e,i){let[s,r,o]=[3*e[i],3*e[i+1],3*e[i+2]];n.moveTo(t[s],t[s+1]),n.lineTo(t[r],t[r+1]),n.lineTo(t[o],t[o+1]),n.closePath()}function bg(n,t){ol.has(n)||ol.set(n,wg(n));let[e,i]=[[],[]];return ol.get(n).forEach((s,r)=>{(s.length>0&&!s.some(a=>t[a])?i:e).push(n.lines[2*r],n.lines[2*r+1])}),[e,i]}function wg({triangles:n,lines:t,edges:e}){let i=new Map;for(let s=0;s<n.length;s+=1){let r=s%3===2?s-2:s+1,o=Vh(n[s],n[r]);i.has(o)||i.set(o,[]),i.get(o).push(Math.floor(s/3))}return Array.from({length:e},(s,r)=>i.get(Vh(t[2*r],t[2*r+1]))??[])}function Vh(n,t){return Math.min(n,t)*67108864+Math.max(n,t)}function Ls(n,t,e,{look:i,times:s}){n.strokeStyle=i.line,n.lineWidth=i.line_px*s,i.dashes?.length&&n.setLineDash(i.dashes),n.beginPath();let r=e?e.length:t.length/3,o=-1;for(let a=0;a+1<r;a+=2){let[l,c]=e?[3*e[a],3*e[a+1]]:[3*a,3*a+3];Number.isNaN(t[l])||Number.isNaN(t[c])||(i.dashes?.length&&c===o&&([l,c]=[c,l]),(!i.dashes?.length||l!==o)&&n.moveTo(t[l],t[l+1]),n.lineTo(t[c],t[c+1]),o=c)}n.stroke(),i.dashes?.length&&n.setLineDash([])}function Tg(n,t,e,i){n.lineCap="butt";for(let{from:s,to:r,radius:o,look:a}of t.nipples){let l=e([...s,...r]);l.some(Number.isNaN)||(n.strokeStyle=t.looks[a].colour,n.lineWidth=Math.max(1,2*o*i(l[2])),n.beginPath(),n.moveTo(l[0],l[1]),n.lineTo(l[3],l[4]),n.stroke())}}function Ag(n,t){let e=Gi(t)[2],i=n.solids.map(s=>{let r=sl(n.forms[s.form].points);return[0,1,2].reduce((o,a)=>o+e[a]*(s.at[a]+r[a]),0)});return n.solids.map((s,r)=>r).sort((s,r)=>i[s]-i[r]||s-r)}function qh(n,t,e,i){let s=null,r=14;return n.forEach((o,a)=>{if(!o.points?.length||!i(a))return;let l=Eg(t(o.points),e);l<r&&([s,r]=[a,l])}),s}function Eg(n,[t,e]){let i=1/0;for(let s=0;s+5<n.length;s+=3){let[r,o]=[n[s+3]-n[s],n[s+4]-n[s+1]],a=r*r+o*o,l=a>0?((t-n[s])*r+(e-n[s+1])*o)/a:0,c=Math.min(1,Math.max(0,l)),h=Math.hypot(t-n[s]-c*r,e-n[s+1]-c*o);h<i&&(i=h)}return i}var Rg={light:{paper:"#fbf8f0",text:"#20242a",dark:!1},dark:{paper:"#2a2724",text:"#f2ece0",dark:!0}},Ur=60,$h=1.3,Yh=[5,2e4];function Jh(n,t,e,i){let s=y("canvas",{tabindex:"0",role:"img"}),r={lay:t,state:e,canvas:s,side:0,view:null,moved:!1,drawn:!1},o=Cg(r);r.sides=y("div.flat-sides",{role:"group","aria-label":"Seen from"});let a=y("div.flat-sizes",{role:"group","aria-label":"Size"},y("button",{onclick:o.keys["+"],"aria-label":"Larger"},"+"),y("button",{onclick:o.keys["-"],"aria-label":"Smaller"},"−"),y("button",{onclick:o.keys[0]},"Whole"));n.classList.add("flat"),n.replaceChildren(y("p.flat-why",{},i),s,y("div.flat-controls",{},r.sides,a));let l=()=>{Pg(r),Ns(r)};return new ResizeObserver(l).observe(s),Rh(s,o),e.on(["chosen","mode","now"],l),e.on(["parts","laid","theme","press"],()=>Ns(r)),l(),{replace(c){r.lay=c,Ns(r)}}}function Cg(n){let t=e=>{e.height>=Yh[0]&&e.height<=Yh[1]&&Object.assign(n,{view:e,moved:!0}),Ns(n)};return{pan:(e,i)=>t(Vi(Gn(n),e,i,Rn(n)[1])),zoom:(e,i)=>t(il(Gn(n),e,i,...Rn(n))),tap:e=>Ig(n,e),keys:{ArrowLeft:()=>t(Vi(Gn(n),Ur,0,Rn(n)[1])),ArrowRight:()=>t(Vi(Gn(n),-Ur,0,Rn(n)[1])),ArrowUp:()=>t(Vi(Gn(n),0,Ur,Rn(n)[1])),ArrowDown:()=>t(Vi(Gn(n),0,-Ur,Rn(n)[1])),"+":()=>t(Zh(n,$h)),"-":()=>t(Zh(n,1/$h)),0:()=>jh(n,n.side)}}}function Ig({lay:n,state:t,...e},i){let s=t.get();if(s.mode==="bench")return;let{tubes:r}=nl(n,s),o=c=>Is(Gn({lay:n,...e}),c,...Rn(e)),a=qh(n.tubes,o,i,c=>r[c]!=="hidden"),l=s.chosen?.kind==="tube"&&s.chosen.index===a;t.set({chosen:a===null||l?null:{kind:"tube",index:a}})}function Zh(n,t){let[e,i]=Rn(n);return il(Gn(n),t,[e/2,i/2],e,i)}function Pg(n){let t=Lg(n);(t||!n.moved)&&Object.assign(n,{view:t,moved:!1})}function Lg(n){let{mode:t,now:e,chosen:i}=n.state.get();if(t==="bench")return e===null?null:Nr(n.lay,e,Kh(n));let s=i?.kind==="finding"?n.lay.findings[i.index]:null;if(!s?.eye)return null;let{eye:r,target:o,up:a,height:l}=s;return{eye:r,target:o,up:a,height:l,parallel:!1}}function Rn({canvas:n}){return[Math.max(1,n.clientWidth),Math.max(1,n.clientHeight)]}function Kh(n){let[t,e]=Rn(n);return t/e}function Gn(n){return n.view??Ng(n)}function Ng(n){return al(n.lay,n.side,Kh(n))}function al(n,t,e){let{eye:i,target:s,up:r,parallel:o}=n.views[t],a=[0,1,2,3,4,5,6,7].flatMap(l=>[0,1,2].map(c=>n.bounds[l>>c&1][c]));return Ps(i.map((l,c)=>l-s[c]),r,a,e,{parallel:o})}function Ns(n){n.drawn||(n.drawn=!0,requestAnimationFrame(()=>{n.drawn=!1,Dg(n);let[t,e]=Rn(n),i=Rg[n.state.get().theme];ll(n.canvas,n.lay,Gn(n),{wide:t,high:e,ratio:devicePixelRatio||1,state:n.state.get(),...i}),n.canvas.setAttribute("aria-label",`The case drawn flat. ${n.lay.views[n.side].title}.`)}))}function ll(n,t,e,i){n.width=Math.round(i.wide*i.ratio),n.height=Math.round(i.high*i.ratio);let s=n.getContext("2d");s.scale(i.ratio,i.ratio),Wh(s,t,e,{...i,emphasis:nl(t,i.state)})}function Dg(n){n.sides.childElementCount!==n.lay.views.length&&n.sides.replaceChildren(...n.lay.views.map((t,e)=>y("button",{onclick:()=>jh(n,e)},t.title))),[...n.sides.children].forEach((t,e)=>{t.setAttribute("aria-pressed",String(e===n.side&&!n.view))})}function jh(n,t){Object.assign(n,{side:t,view:null,moved:!1}),Ns(n)}var Or=.08,Ug={ArrowLeft:[-1,0],ArrowRight:[1,0],ArrowUp:[0,-1],ArrowDown:[0,1]},Og={"+":[0,-1],"=":[0,-1],"-":[0,1],PageUp:[0,-1],PageDown:[0,1]};function Qh(n,t,e){e?.canvas.addEventListener("keydown",i=>{i.ctrlKey||i.altKey||i.metaKey||Fg(i,e.stage)&&i.preventDefault()}),document.addEventListener("keydown",i=>{i.defaultPrevented||i.ctrlKey||i.altKey||i.metaKey||(i.key==="Escape"?Bg(t):!zg(i.target)&&t.get().mode!=="bench"&&kg(i,n,t))})}function Fg(n,t){let[e,i]=[Ug[n.key],Og[n.key]];return e?t.step(e[0]*Or,e[1]*Or,n.shiftKey?"pan":"orbit"):i?t.step(i[0]*Or,i[1]*Or,"zoom"):n.key==="Home"&&t.home(),!!(e||i||n.key==="Home")}function Bg(n){let{measuring:t,chosen:e,cut:i}=n.get();t?n.set({measuring:!1,ends:[]}):e?n.set({chosen:null}):i&&n.set({cut:null})}function kg(n,t,e){n.key==="n"||n.key==="p"?ws(t(),e,n.key==="n"?1:-1):n.key==="/"&&(n.preventDefault(),e.set({mode:"tubes"}),document.getElementById("search")?.focus())}function zg(n){return n.matches?.("input, select, textarea")??!1}/**
 * @license
 * Copyright 2010-2026 Three.js Authors
 * SPDX-License-Identifier: MIT
 */var Su=0,Ol=1,bu=2;var er=1,wu=2,us=3,gn=0,Ge=1,tn=2,Li=0,ds=1,Fl=2,Bl=3,kl=4,Tu=5;var Ni=100,Au=101,Eu=102,Ru=103,Cu=104,Iu=200,Pu=201,Lu=202,Nu=203,zl=204,Gl=205,Du=206,Uu=207,Ou=208,Fu=209,Bu=210,ku=211,zu=212,Gu=213,Vu=214,ro=0,oo=1,ao=2,is=3,lo=4,co=5,ho=6,uo=7,Vl=0,Hu=1,Wu=2,Dn=0,Hl=1,Wl=2,Xl=3,ql=4,$l=5,Yl=6,Zl=7;var Jl=300,Di=301,fs=302,Fo=303,Bo=304,fo=1e3,In=1001,po=1002,pe=1003,Xu=1004;var nr=1005;var ze=1006,ko=1007;var Jn=1008;var en=1009,Kl=1010,jl=1011,ps=1012,zo=1013,bn=1014,nn=1015,wn=1016,Go=1017,Vo=1018,Ui=1020,Ql=35902,tc=35899,ec=1021,nc=1022,sn=1023,Yn=1026,Kn=1027,ic=1028,Ho=1029,gi=1030,Wo=1031;var Xo=1033,ir=33776,sr=33777,rr=33778,or=33779,qo=35840,$o=35841,Yo=35842,Zo=35843,Jo=36196,Ko=37492,jo=37496,Qo=37488,ta=37489,ar=37490,ea=37491,na=37808,ia=37809,sa=37810,ra=37811,oa=37812,aa=37813,la=37814,ca=37815,ha=37816,ua=37817,da=37818,fa=37819,pa=37820,ma=37821,ga=36492,_a=36494,xa=36495,va=36283,ya=36284,lr=36285,Ma=36286;var ks=2300,mo=2301,io=2302,Il=2303,Pl=2400,Ll=2401,Nl=2402;var qu=3200;var sc=0,$u=1,jn="",Je="srgb",Ri="srgb-linear",zs="linear",Jt="srgb";var so=7680;var Yu=519,Zu=512,Ju=513,Ku=514,rc=515,ju=516,Qu=517,oc=518,ac=519,lc=35044;var Oi="300 es",dn=2e3,Gs=2001;function Gg(n){for(let t=n.length-1;t>=0;--t)if(n[t]>=65535)return!0;return!1}function Vg(n){return ArrayBuffer.isView(n)&&!(n instanceof DataView)}function Vs(n){return document.createElementNS("http://www.w3.org/1999/xhtml",n)}function td(){let n=Vs("canvas");return n.style.display="block",n}var tu={},ss=null;function Hs(...n){let t="THREE."+n.shift();ss?ss("log",t,...n):console.log(t,...n)}function ed(n){let t=n[0];if(typeof t=="string"&&t.startsWith("TSL:")){let e=n[1];e&&e.isStackTrace?n[0]+=" "+e.getLocation():n[1]='Stack trace not available. Enable "THREE.Node.captureStackTrace" to capture stack traces.'}return n}function It(...n){n=ed(n);let t="THREE."+n.shift();if(ss)ss("warn",t,...n);else{let e=n[0];e&&e.isStackTrace?console.warn(e.getError(t)):console.warn(t,...n)}}function Pt(...n){n=ed(n);let t="THREE."+n.shift();if(ss)ss("error",t,...n);else{let e=n[0];e&&e.isStackTrace?console.error(e.getError(t)):console.error(t,...n)}}function Bs(...n){let t=n.join(" ");t in tu||(tu[t]=!0,It(...n))}function nd(n,t,e){return new Promise(function(i,s){function r(){switch(n.clientWaitSync(t,n.SYNC_FLUSH_COMMANDS_BIT,0)){case n.WAIT_FAILED:s();break;case n.TIMEOUT_EXPIRED:setTimeout(r,e);break;default:i()}}setTimeout(r,e)})}var id={[ro]:ro,[ao]:ho,[lo]:lo,[is]:co,[oo]:oo,[ho]:ao,[uo]:uo,[co]:is},Pn=class{addEventListener(t,e){this._listeners===void 0&&(this._listeners={});let i=this._listeners;i[t]===void 0&&(i[t]=[]),i[t].indexOf(e)===-1&&i[t].push(e)}hasEventListener(t,e){let i=this._listeners;return i===void 0?!1:i[t]!==void 0&&i[t].indexOf(e)!==-1}removeEventListener(t,e){let i=this._listeners;if(i===void 0)return;let s=i[t];if(s!==void 0){let r=s.indexOf(e);r!==-1&&s.splice(r,1)}}dispatchEvent(t){let e=this._listeners;if(e===void 0)return;let i=e[t.type];if(i!==void 0){t.target=this;let s=i.slice(0);for(let r=0,o=s.length;r<o;r++)s[r].call(this,t);t.target=null}}},De=["00","01","02","03","04","05","06","07","08","09","0a","0b","0c","0d","0e","0f","10","11","12","13","14","15","16","17","18","19","1a","1b","1c","1d","1e","1f","20","21","22","23","24","25","26","27","28","29","2a","2b","2c","2d","2e","2f","30","31","32","33","34","35","36","37","38","39","3a","3b","3c","3d","3e","3f","40","41","42","43","44","45","46","47","48","49","4a","4b","4c","4d","4e","4f","50","51","52","53","54","55","56","57","58","59","5a","5b","5c","5d","5e","5f","60","61","62","63","64","65","66","67","68","69","6a","6b","6c","6d","6e","6f","70","71","72","73","74","75","76","77","78","79","7a","7b","7c","7d","7e","7f","80","81","82","83","84","85","86","87","88","89","8a","8b","8c","8d","8e","8f","90","91","92","93","94","95","96","97","98","99","9a","9b","9c","9d","9e","9f","a0","a1","a2","a3","a4","a5","a6","a7","a8","a9","aa","ab","ac","ad","ae","af","b0","b1","b2","b3","b4","b5","b6","b7","b8","b9","ba","bb","bc","bd","be","bf","c0","c1","c2","c3","c4","c5","c6","c7","c8","c9","ca","cb","cc","cd","ce","cf","d0","d1","d2","d3","d4","d5","d6","d7","d8","d9","da","db","dc","dd","de","df","e0","e1","e2","e3","e4","e5","e6","e7","e8","e9","ea","eb","ec","ed","ee","ef","f0","f1","f2","f3","f4","f5","f6","f7","f8","f9","fa","fb","fc","fd","fe","ff"];var cl=Math.PI/180,go=180/Math.PI;function Fi(){let n=Math.random()*4294967295|0,t=Math.random()*4294967295|0,e=Math.random()*4294967295|0,i=Math.random()*4294967295|0;return(De[n&255]+De[n>>8&255]+De[n>>16&255]+De[n>>24&255]+"-"+De[t&255]+De[t>>8&255]+"-"+De[t>>16&15|64]+De[t>>24&255]+"-"+De[e&63|128]+De[e>>8&255]+"-"+De[e>>16&255]+De[e>>24&255]+De[i&255]+De[i>>8&255]+De[i>>16&255]+De[i>>24&255]).toLowerCase()}function Wt(n,t,e){return Math.max(t,Math.min(e,n))}function Hg(n,t){return(n%t+t)%t}function hl(n,t,e){return(1-e)*n+e*t}function sd(n){return Math.pow(2,Math.floor(Math.log(n)/Math.LN2))}function Sa(n){switch(n.constructor){case Uint32Array:return 4294967295;case Uint16Array:return 65535;case Uint8Array:case Uint8ClampedArray:return 255;case Int32Array:return 2147483647;case Int16Array:return 32767;case Int8Array:return 127;default:return}}function rd(n,t){if(t.constructor===Float32Array)return n;let e=Sa(t);if(e===void 0)throw new Error("THREE.MathUtils: Invalid component type.");return Math.max(n/e,-1)}function od(n,t){if(t.constructor===Float32Array)return n;let e=Sa(t);if(e===void 0)throw new Error("THREE.MathUtils: Invalid component type.");return Math.round(n*e)}var Xt=class{static{this.prototype.isVector2=!0}constructor(t=0,e=0){this.x=t,this.y=e}get width(){return this.x}set width(t){this.x=t}get height(){return this.y}set height(t){this.y=t}set(t,e){return this.x=t,this.y=e,this}setScalar(t){return this.x=t,this.y=t,this}setX(t){return this.x=t,this}setY(t){return this.y=t,this}setComponent(t,e){switch(t){case 0:this.x=e;break;case 1:this.y=e;break;default:throw new Error("THREE.Vector2: index is out of range: "+t)}return this}getComponent(t){switch(t){case 0:return this.x;case 1:return this.y;default:throw new Error("THREE.Vector2: index is out of range: "+t)}}clone(){return new this.constructor(this.x,this.y)}copy(t){return this.x=t.x,this.y=t.y,this}add(t){return this.x+=t.x,this.y+=t.y,this}addScalar(t){return this.x+=t,this.y+=t,this}addVectors(t,e){return this.x=t.x+e.x,this.y=t.y+e.y,this}addScaledVector(t,e){return this.x+=t.x*e,this.y+=t.y*e,this}sub(t){return this.x-=t.x,this.y-=t.y,this}subScalar(t){return this.x-=t,this.y-=t,this}subVectors(t,e){return this.x=t.x-e.x,this.y=t.y-e.y,this}multiply(t){return this.x*=t.x,this.y*=t.y,this}multiplyScalar(t){return this.x*=t,this.y*=t,this}divide(t){return this.x/=t.x,this.y/=t.y,this}divideScalar(t){return this.multiplyScalar(1/t)}applyMatrix3(t){let e=this.x,i=this.y,s=t.elements;return this.x=s[0]*e+s[3]*i+s[6],this.y=s[1]*e+s[4]*i+s[7],this}min(t){return this.x=Math.min(this.x,t.x),this.y=Math.min(this.y,t.y),this}max(t){return this.x=Math.max(this.x,t.x),this.y=Math.max(this.y,t.y),this}clamp(t,e){return this.x=Wt(this.x,t.x,e.x),this.y=Wt(this.y,t.y,e.y),this}clampScalar(t,e){return this.x=Wt(this.x,t,e),this.y=Wt(this.y,t,e),this}clampLength(t,e){let i=this.length();return this.divideScalar(i||1).multiplyScalar(Wt(i,t,e))}floor(){return this.x=Math.floor(this.x),this.y=Math.floor(this.y),this}ceil(){return this.x=Math.ceil(this.x),this.y=Math.ceil(this.y),this}round(){return this.x=Math.round(this.x),this.y=Math.round(this.y),this}roundToZero(){return this.x=Math.trunc(this.x),this.y=Math.trunc(this.y),this}negate(){return this.x=-this.x,this.y=-this.y,this}dot(t){return this.x*t.x+this.y*t.y}cross(t){return this.x*t.y-this.y*t.x}lengthSq(){return this.x*this.x+this.y*this.y}length(){return Math.sqrt(this.x*this.x+this.y*this.y)}manhattanLength(){return Math.abs(this.x)+Math.abs(this.y)}normalize(){return this.divideScalar(this.length()||1)}angle(){return Math.atan2(-this.y,-this.x)+Math.PI}angleTo(t){let e=Math.sqrt(this.lengthSq()*t.lengthSq());if(e===0)return Math.PI/2;let i=this.dot(t)/e;return Math.acos(Wt(i,-1,1))}distanceTo(t){return Math.sqrt(this.distanceToSquared(t))}distanceToSquared(t){let e=this.x-t.x,i=this.y-t.y;return e*e+i*i}manhattanDistanceTo(t){return Math.abs(this.x-t.x)+Math.abs(this.y-t.y)}setLength(t){return this.normalize().multiplyScalar(t)}lerp(t,e){return this.x+=(t.x-this.x)*e,this.y+=(t.y-this.y)*e,this}lerpVectors(t,e,i){return this.x=t.x+(e.x-t.x)*i,this.y=t.y+(e.y-t.y)*i,this}equals(t){return t.x===this.x&&t.y===this.y}fromArray(t,e=0){return this.x=t[e],this.y=t[e+1],this}toArray(t=[],e=0){return t[e]=this.x,t[e+1]=this.y,t}fromBufferAttribute(t,e){return this.x=t.getX(e),this.y=t.getY(e),this}rotateAround(t,e){let i=Math.cos(e),s=Math.sin(e),r=this.x-t.x,o=this.y-t.y;return this.x=r*i-o*s+t.x,this.y=r*s+o*i+t.y,this}random(){return this.x=Math.random(),this.y=Math.random(),this}*[Symbol.iterator](){yield this.x,yield this.y}},Ln=class{constructor(t=0,e=0,i=0,s=1){this.isQuaternion=!0,this._x=t,this._y=e,this._z=i,this._w=s}static slerpFlat(t,e,i,s,r,o,a){let l=i[s+0],c=i[s+1],h=i[s+2],d=i[s+3],u=r[o+0],f=r[o+1],g=r[o+2],M=r[o+3];if(d!==M||l!==u||c!==f||h!==g){let p=l*u+c*f+h*g+d*M;p<0&&(u=-u,f=-f,g=-g,M=-M,p=-p);let m=1-a;if(p<.9995){let S=Math.acos(p),R=Math.sin(S);m=Math.sin(m*S)/R,a=Math.sin(a*S)/R,l=l*m+u*a,c=c*m+f*a,h=h*m+g*a,d=d*m+M*a}else{l=l*m+u*a,c=c*m+f*a,h=h*m+g*a,d=d*m+M*a;let S=1/Math.sqrt(l*l+c*c+h*h+d*d);l*=S,c*=S,h*=S,d*=S}}t[e]=l,t[e+1]=c,t[e+2]=h,t[e+3]=d}static multiplyQuaternionsFlat(t,e,i,s,r,o){let a=i[s],l=i[s+1],c=i[s+2],h=i[s+3],d=r[o],u=r[o+1],f=r[o+2],g=r[o+3];return t[e]=a*g+h*d+l*f-c*u,t[e+1]=l*g+h*u+c*d-a*f,t[e+2]=c*g+h*f+a*u-l*d,t[e+3]=h*g-a*d-l*u-c*f,t}get x(){return this._x}set x(t){this._x=t,this._onChangeCallback()}get y(){return this._y}set y(t){this._y=t,this._onChangeCallback()}get z(){return this._z}set z(t){this._z=t,this._onChangeCallback()}get w(){return this._w}set w(t){this._w=t,this._onChangeCallback()}set(t,e,i,s){return this._x=t,this._y=e,this._z=i,this._w=s,this._onChangeCallback(),this}clone(){return new this.constructor(this._x,this._y,this._z,this._w)}copy(t){return this._x=t.x,this._y=t.y,this._z=t.z,this._w=t.w,this._onChangeCallback(),this}setFromEuler(t,e=!0){let i=t._x,s=t._y,r=t._z,o=t._order,a=Math.cos,l=Math.sin,c=a(i/2),h=a(s/2),d=a(r/2),u=l(i/2),f=l(s/2),g=l(r/2);switch(o){case"XYZ":this._x=u*h*d+c*f*g,this._y=c*f*d-u*h*g,this._z=c*h*g+u*f*d,this._w=c*h*d-u*f*g;break;case"YXZ":this._x=u*h*d+c*f*g,this._y=c*f*d-u*h*g,this._z=c*h*g-u*f*d,this._w=c*h*d+u*f*g;break;case"ZXY":this._x=u*h*d-c*f*g,this._y=c*f*d+u*h*g,this._z=c*h*g+u*f*d,this._w=c*h*d-u*f*g;break;case"ZYX":this._x=u*h*d-c*f*g,this._y=c*f*d+u*h*g,this._z=c*h*g-u*f*d,this._w=c*h*d+u*f*g;break;case"YZX":this._x=u*h*d+c*f*g,this._y=c*f*d+u*h*g,this._z=c*h*g-u*f*d,this._w=c*h*d-u*f*g;break;case"XZY":this._x=u*h*d-c*f*g,this._y=c*f*d-u*h*g,this._z=c*h*g+u*f*d,this._w=c*h*d+u*f*g;break;default:It("Quaternion: .setFromEuler() encountered an unknown order: "+o)}return e===!0&&this._onChangeCallback(),this}setFromAxisAngle(t,e){let i=e/2,s=Math.sin(i);return this._x=t.x*s,this._y=t.y*s,this._z=t.z*s,this._w=Math.cos(i),this._onChangeCallback(),this}setFromRotationMatrix(t){let e=t.elements,i=e[0],s=e[4],r=e[8],o=e[1],a=e[5],l=e[9],c=e[2],h=e[6],d=e[10],u=i+a+d;if(u>0){let f=.5/Math.sqrt(u+1);this._w=.25/f,this._x=(h-l)*f,this._y=(r-c)*f,this._z=(o-s)*f}else if(i>a&&i>d){let f=2*Math.sqrt(1+i-a-d);this._w=(h-l)/f,this._x=.25*f,this._y=(s+o)/f,this._z=(r+c)/f}else if(a>d){let f=2*Math.sqrt(1+a-i-d);this._w=(r-c)/f,this._x=(s+o)/f,this._y=.25*f,this._z=(l+h)/f}else{let f=2*Math.sqrt(1+d-i-a);this._w=(o-s)/f,this._x=(r+c)/f,this._y=(l+h)/f,this._z=.25*f}return this._onChangeCallback(),this}setFromUnitVectors(t,e){let i=t.dot(e)+1;return i<1e-8?(i=0,Math.abs(t.x)>Math.abs(t.z)?(this._x=-t.y,this._y=t.x,this._z=0,this._w=i):(this._x=0,this._y=-t.z,this._z=t.y,this._w=i)):(this._x=t.y*e.z-t.z*e.y,this._y=t.z*e.x-t.x*e.z,this._z=t.x*e.y-t.y*e.x,this._w=i),this.normalize()}angleTo(t){return 2*Math.acos(Math.abs(Wt(this.dot(t),-1,1)))}rotateTowards(t,e){let i=this.angleTo(t);if(i===0)return this;let s=Math.min(1,e/i);return this.slerp(t,s),this}identity(){return this.set(0,0,0,1)}invert(){return this.conjugate()}conjugate(){return this._x*=-1,this._y*=-1,this._z*=-1,this._onChangeCallback(),this}dot(t){return this._x*t._x+this._y*t._y+this._z*t._z+this._w*t._w}lengthSq(){return this._x*this._x+this._y*this._y+this._z*this._z+this._w*this._w}length(){return Math.sqrt(this._x*this._x+this._y*this._y+this._z*this._z+this._w*this._w)}normalize(){let t=this.length();return t===0?(this._x=0,this._y=0,this._z=0,this._w=1):(t=1/t,this._x=this._x*t,this._y=this._y*t,this._z=this._z*t,this._w=this._w*t),this._onChangeCallback(),this}multiply(t){return this.multiplyQuaternions(this,t)}premultiply(t){return this.multiplyQuaternions(t,this)}multiplyQuaternions(t,e){let i=t._x,s=t._y,r=t._z,o=t._w,a=e._x,l=e._y,c=e._z,h=e._w;return this._x=i*h+o*a+s*c-r*l,this._y=s*h+o*l+r*a-i*c,this._z=r*h+o*c+i*l-s*a,this._w=o*h-i*a-s*l-r*c,this._onChangeCallback(),this}slerp(t,e){let i=t._x,s=t._y,r=t._z,o=t._w,a=this.dot(t);a<0&&(i=-i,s=-s,r=-r,o=-o,a=-a);let l=1-e;if(a<.9995){let c=Math.acos(a),h=Math.sin(c);l=Math.sin(l*c)/h,e=Math.sin(e*c)/h,this._x=this._x*l+i*e,this._y=this._y*l+s*e,this._z=this._z*l+r*e,this._w=this._w*l+o*e,this._onChangeCallback()}else this._x=this._x*l+i*e,this._y=this._y*l+s*e,this._z=this._z*l+r*e,this._w=this._w*l+o*e,this.normalize();return this}slerpQuaternions(t,e,i){return this.copy(t).slerp(e,i)}random(){let t=2*Math.PI*Math.random(),e=2*Math.PI*Math.random(),i=Math.random(),s=Math.sqrt(1-i),r=Math.sqrt(i);return this.set(s*Math.sin(t),s*Math.cos(t),r*Math.sin(e),r*Math.cos(e))}equals(t){return t._x===this._x&&t._y===this._y&&t._z===this._z&&t._w===this._w}fromArray(t,e=0){return this._x=t[e],this._y=t[e+1],this._z=t[e+2],this._w=t[e+3],this._onChangeCallback(),this}toArray(t=[],e=0){return t[e]=this._x,t[e+1]=this._y,t[e+2]=this._z,t[e+3]=this._w,t}fromBufferAttribute(t,e){return this._x=t.getX(e),this._y=t.getY(e),this._z=t.getZ(e),this._w=t.getW(e),this._onChangeCallback(),this}toJSON(){return this.toArray()}_onChange(t){return this._onChangeCallback=t,this}_onChangeCallback(){}*[Symbol.iterator](){yield this._x,yield this._y,yield this._z,yield this._w}},z=class{static{this.prototype.isVector3=!0}constructor(t=0,e=0,i=0){this.x=t,this.y=e,this.z=i}set(t,e,i){return i===void 0&&(i=this.z),this.x=t,this.y=e,this.z=i,this}setScalar(t){return this.x=t,this.y=t,this.z=t,this}setX(t){return this.x=t,this}setY(t){return this.y=t,this}setZ(t){return this.z=t,this}setComponent(t,e){switch(t){case 0:this.x=e;break;case 1:this.y=e;break;case 2:this.z=e;break;default:throw new Error("THREE.Vector3: index is out of range: "+t)}return this}getComponent(t){switch(t){case 0:return this.x;case 1:return this.y;case 2:return this.z;default:throw new Error("THREE.Vector3: index is out of range: "+t)}}clone(){return new this.constructor(this.x,this.y,this.z)}copy(t){return this.x=t.x,this.y=t.y,this.z=t.z,this}add(t){return this.x+=t.x,this.y+=t.y,this.z+=t.z,this}addScalar(t){return this.x+=t,this.y+=t,this.z+=t,this}addVectors(t,e){return this.x=t.x+e.x,this.y=t.y+e.y,this.z=t.z+e.z,this}addScaledVector(t,e){return this.x+=t.x*e,this.y+=t.y*e,this.z+=t.z*e,this}sub(t){return this.x-=t.x,this.y-=t.y,this.z-=t.z,this}subScalar(t){return this.x-=t,this.y-=t,this.z-=t,this}subVectors(t,e){return this.x=t.x-e.x,this.y=t.y-e.y,this.z=t.z-e.z,this}multiply(t){return this.x*=t.x,this.y*=t.y,this.z*=t.z,this}multiplyScalar(t){return this.x*=t,this.y*=t,this.z*=t,this}multiplyVectors(t,e){return this.x=t.x*e.x,this.y=t.y*e.y,this.z=t.z*e.z,this}applyEuler(t){return this.applyQuaternion(eu.setFromEuler(t))}applyAxisAngle(t,e){return this.applyQuaternion(eu.setFromAxisAngle(t,e))}applyMatrix3(t){let e=this.x,i=this.y,s=this.z,r=t.elements;return this.x=r[0]*e+r[3]*i+r[6]*s,this.y=r[1]*e+r[4]*i+r[7]*s,this.z=r[2]*e+r[5]*i+r[8]*s,this}applyNormalMatrix(t){return this.applyMatrix3(t).normalize()}applyMatrix4(t){let e=this.x,i=this.y,s=this.z,r=t.elements,o=1/(r[3]*e+r[7]*i+r[11]*s+r[15]);return this.x=(r[0]*e+r[4]*i+r[8]*s+r[12])*o,this.y=(r[1]*e+r[5]*i+r[9]*s+r[13])*o,this.z=(r[2]*e+r[6]*i+r[10]*s+r[14])*o,this}applyQuaternion(t){let e=this.x,i=this.y,s=this.z,r=t.x,o=t.y,a=t.z,l=t.w,c=2*(o*s-a*i),h=2*(a*e-r*s),d=2*(r*i-o*e);return this.x=e+l*c+o*d-a*h,this.y=i+l*h+a*c-r*d,this.z=s+l*d+r*h-o*c,this}project(t){return this.applyMatrix4(t.matrixWorldInverse).applyMatrix4(t.projectionMatrix)}unproject(t){return this.applyMatrix4(t.projectionMatrixInverse).applyMatrix4(t.matrixWorld)}transformDirection(t){let e=this.x,i=this.y,s=this.z,r=t.elements;return this.x=r[0]*e+r[4]*i+r[8]*s,this.y=r[1]*e+r[5]*i+r[9]*s,this.z=r[2]*e+r[6]*i+r[10]*s,this.normalize()}divide(t){return this.x/=t.x,this.y/=t.y,this.z/=t.z,this}divideScalar(t){return this.multiplyScalar(1/t)}min(t){return this.x=Math.min(this.x,t.x),this.y=Math.min(this.y,t.y),this.z=Math.min(this.z,t.z),this}max(t){return this.x=Math.max(this.x,t.x),this.y=Math.max(this.y,t.y),this.z=Math.max(this.z,t.z),this}clamp(t,e){return this.x=Wt(this.x,t.x,e.x),this.y=Wt(this.y,t.y,e.y),this.z=Wt(this.z,t.z,e.z),this}clampScalar(t,e){return this.x=Wt(this.x,t,e),this.y=Wt(this.y,t,e),this.z=Wt(this.z,t,e),this}clampLength(t,e){let i=this.length();return this.divideScalar(i||1).multiplyScalar(Wt(i,t,e))}floor(){return this.x=Math.floor(this.x),this.y=Math.floor(this.y),this.z=Math.floor(this.z),this}ceil(){return this.x=Math.ceil(this.x),this.y=Math.ceil(this.y),this.z=Math.ceil(this.z),this}round(){return this.x=Math.round(this.x),this.y=Math.round(this.y),this.z=Math.round(this.z),this}roundToZero(){return this.x=Math.trunc(this.x),this.y=Math.trunc(this.y),this.z=Math.trunc(this.z),this}negate(){return this.x=-this.x,this.y=-this.y,this.z=-this.z,this}dot(t){return this.x*t.x+this.y*t.y+this.z*t.z}lengthSq(){return this.x*this.x+this.y*this.y+this.z*this.z}length(){return Math.sqrt(this.x*this.x+this.y*this.y+this.z*this.z)}manhattanLength(){return Math.abs(this.x)+Math.abs(this.y)+Math.abs(this.z)}normalize(){return this.divideScalar(this.length()||1)}setLength(t){return this.normalize().multiplyScalar(t)}lerp(t,e){return this.x+=(t.x-this.x)*e,this.y+=(t.y-this.y)*e,this.z+=(t.z-this.z)*e,this}lerpVectors(t,e,i){return this.x=t.x+(e.x-t.x)*i,this.y=t.y+(e.y-t.y)*i,this.z=t.z+(e.z-t.z)*i,this}cross(t){return this.crossVectors(this,t)}crossVectors(t,e){let i=t.x,s=t.y,r=t.z,o=e.x,a=e.y,l=e.z;return this.x=s*l-r*a,this.y=r*o-i*l,this.z=i*a-s*o,this}projectOnVector(t){let e=t.lengthSq();if(e===0)return this.set(0,0,0);let i=t.dot(this)/e;return this.copy(t).multiplyScalar(i)}projectOnPlane(t){return ul.copy(this).projectOnVector(t),this.sub(ul)}reflect(t){return this.sub(ul.copy(t).multiplyScalar(2*this.dot(t)))}angleTo(t){let e=Math.sqrt(this.lengthSq()*t.lengthSq());if(e===0)return Math.PI/2;let i=this.dot(t)/e;return Math.acos(Wt(i,-1,1))}distanceTo(t){return Math.sqrt(this.distanceToSquared(t))}distanceToSquared(t){let e=this.x-t.x,i=this.y-t.y,s=this.z-t.z;return e*e+i*i+s*s}manhattanDistanceTo(t){return Math.abs(this.x-t.x)+Math.abs(this.y-t.y)+Math.abs(this.z-t.z)}setFromSpherical(t){return this.setFromSphericalCoords(t.radius,t.phi,t.theta)}setFromSphericalCoords(t,e,i){let s=Math.sin(e)*t;return this.x=s*Math.sin(i),this.y=Math.cos(e)*t,this.z=s*Math.cos(i),this}setFromCylindrical(t){return this.setFromCylindricalCoords(t.radius,t.theta,t.y)}setFromCylindricalCoords(t,e,i){return this.x=t*Math.sin(e),this.y=i,this.z=t*Math.cos(e),this}setFromMatrixPosition(t){let e=t.elements;return this.x=e[12],this.y=e[13],this.z=e[14],this}setFromMatrixScale(t){let e=this.setFromMatrixColumn(t,0).length(),i=this.setFromMatrixColumn(t,1).length(),s=this.setFromMatrixColumn(t,2).length();return this.x=e,this.y=i,this.z=s,this}setFromMatrixColumn(t,e){return this.fromArray(t.elements,e*4)}setFromMatrix3Column(t,e){return this.fromArray(t.elements,e*3)}setFromEuler(t){return this.x=t._x,this.y=t._y,this.z=t._z,this}setFromColor(t){return this.x=t.r,this.y=t.g,this.z=t.b,this}equals(t){return t.x===this.x&&t.y===this.y&&t.z===this.z}fromArray(t,e=0){return this.x=t[e],this.y=t[e+1],this.z=t[e+2],this}toArray(t=[],e=0){return t[e]=this.x,t[e+1]=this.y,t[e+2]=this.z,t}fromBufferAttribute(t,e){return this.x=t.getX(e),this.y=t.getY(e),this.z=t.getZ(e),this}random(){return this.x=Math.random(),this.y=Math.random(),this.z=Math.random(),this}randomDirection(){let t=Math.random()*Math.PI*2,e=Math.random()*2-1,i=Math.sqrt(1-e*e);return this.x=i*Math.cos(t),this.y=e,this.z=i*Math.sin(t),this}*[Symbol.iterator](){yield this.x,yield this.y,yield this.z}},ul=new z,eu=new Ln,Lt=class{static{this.prototype.isMatrix3=!0}constructor(t,e,i,s,r,o,a,l,c){this.elements=[1,0,0,0,1,0,0,0,1],t!==void 0&&this.set(t,e,i,s,r,o,a,l,c)}set(t,e,i,s,r,o,a,l,c){let h=this.elements;return h[0]=t,h[1]=s,h[2]=a,h[3]=e,h[4]=r,h[5]=l,h[6]=i,h[7]=o,h[8]=c,this}identity(){return this.set(1,0,0,0,1,0,0,0,1),this}copy(t){let e=this.elements,i=t.elements;return e[0]=i[0],e[1]=i[1],e[2]=i[2],e[3]=i[3],e[4]=i[4],e[5]=i[5],e[6]=i[6],e[7]=i[7],e[8]=i[8],this}extractBasis(t,e,i){return t.setFromMatrix3Column(this,0),e.setFromMatrix3Column(this,1),i.setFromMatrix3Column(this,2),this}setFromMatrix4(t){let e=t.elements;return this.set(e[0],e[4],e[8],e[1],e[5],e[9],e[2],e[6],e[10]),this}multiply(t){return this.multiplyMatrices(this,t)}premultiply(t){return this.multiplyMatrices(t,this)}multiplyMatrices(t,e){let i=t.elements,s=e.elements,r=this.elements,o=i[0],a=i[3],l=i[6],c=i[1],h=i[4],d=i[7],u=i[2],f=i[5],g=i[8],M=s[0],p=s[3],m=s[6],S=s[1],R=s[4],T=s[7],E=s[2],A=s[5],_=s[8];return r[0]=o*M+a*S+l*E,r[3]=o*p+a*R+l*A,r[6]=o*m+a*T+l*_,r[1]=c*M+h*S+d*E,r[4]=c*p+h*R+d*A,r[7]=c*m+h*T+d*_,r[2]=u*M+f*S+g*E,r[5]=u*p+f*R+g*A,r[8]=u*m+f*T+g*_,this}multiplyScalar(t){let e=this.elements;return e[0]*=t,e[3]*=t,e[6]*=t,e[1]*=t,e[4]*=t,e[7]*=t,e[2]*=t,e[5]*=t,e[8]*=t,this}determinant(){let t=this.elements,e=t[0],i=t[1],s=t[2],r=t[3],o=t[4],a=t[5],l=t[6],c=t[7],h=t[8];return e*o*h-e*a*c-i*r*h+i*a*l+s*r*c-s*o*l}invert(){let t=this.elements,e=t[0],i=t[1],s=t[2],r=t[3],o=t[4],a=t[5],l=t[6],c=t[7],h=t[8],d=h*o-a*c,u=a*l-h*r,f=c*r-o*l,g=e*d+i*u+s*f;if(g===0)return this.set(0,0,0,0,0,0,0,0,0);let M=1/g;return t[0]=d*M,t[1]=(s*c-h*i)*M,t[2]=(a*i-s*o)*M,t[3]=u*M,t[4]=(h*e-s*l)*M,t[5]=(s*r-a*e)*M,t[6]=f*M,t[7]=(i*l-c*e)*M,t[8]=(o*e-i*r)*M,this}transpose(){let t,e=this.elements;return t=e[1],e[1]=e[3],e[3]=t,t=e[2],e[2]=e[6],e[6]=t,t=e[5],e[5]=e[7],e[7]=t,this}getNormalMatrix(t){return this.setFromMatrix4(t).invert().transpose()}transposeIntoArray(t){let e=this.elements;return t[0]=e[0],t[1]=e[3],t[2]=e[6],t[3]=e[1],t[4]=e[4],t[5]=e[7],t[6]=e[2],t[7]=e[5],t[8]=e[8],this}setUvTransform(t,e,i,s,r,o,a){let l=Math.cos(r),c=Math.sin(r);return this.set(i*l,i*c,-i*(l*o+c*a)+o+t,-s*c,s*l,-s*(-c*o+l*a)+a+e,0,0,1),this}scale(t,e){return Bs("Matrix3: .scale() is deprecated. Use .makeScale() instead."),this.premultiply(dl.makeScale(t,e)),this}rotate(t){return Bs("Matrix3: .rotate() is deprecated. Use .makeRotation() instead."),this.premultiply(dl.makeRotation(-t)),this}translate(t,e){return Bs("Matrix3: .translate() is deprecated. Use .makeTranslation() instead."),this.premultiply(dl.makeTranslation(t,e)),this}makeTranslation(t,e){return t.isVector2?this.set(1,0,t.x,0,1,t.y,0,0,1):this.set(1,0,t,0,1,e,0,0,1),this}makeRotation(t){let e=Math.cos(t),i=Math.sin(t);return this.set(e,-i,0,i,e,0,0,0,1),this}makeScale(t,e){return this.set(t,0,0,0,e,0,0,0,1),this}equals(t){let e=this.elements,i=t.elements;for(let s=0;s<9;s++)if(e[s]!==i[s])return!1;return!0}fromArray(t,e=0){for(let i=0;i<9;i++)this.elements[i]=t[i+e];return this}toArray(t=[],e=0){let i=this.elements;return t[e]=i[0],t[e+1]=i[1],t[e+2]=i[2],t[e+3]=i[3],t[e+4]=i[4],t[e+5]=i[5],t[e+6]=i[6],t[e+7]=i[7],t[e+8]=i[8],t}clone(){return new this.constructor().fromArray(this.elements)}},dl=new Lt,nu=new Lt().set(.4123908,.3575843,.1804808,.212639,.7151687,.0721923,.0193308,.1191948,.9505322),iu=new Lt().set(3.2409699,-1.5373832,-.4986108,-.9692436,1.8759675,.0415551,.0556301,-.203977,1.0569715);function Wg(){let n={enabled:!0,workingColorSpace:Ri,spaces:{},convert:function(s,r,o){return this.enabled===!1||r===o||!r||!o||(this.spaces[r].transfer===Jt&&(s.r=$n(s.r),s.g=$n(s.g),s.b=$n(s.b)),this.spaces[r].primaries!==this.spaces[o].primaries&&(s.applyMatrix3(this.spaces[r].toXYZ),s.applyMatrix3(this.spaces[o].fromXYZ)),this.spaces[o].transfer===Jt&&(s.r=ns(s.r),s.g=ns(s.g),s.b=ns(s.b))),s},workingToColorSpace:function(s,r){return this.convert(s,this.workingColorSpace,r)},colorSpaceToWorking:function(s,r){return this.convert(s,r,this.workingColorSpace)},getPrimaries:function(s){return this.spaces[s].primaries},getTransfer:function(s){return s===jn?zs:this.spaces[s].transfer},getToneMappingMode:function(s){return this.spaces[s].outputColorSpaceConfig.toneMappingMode||"standard"},getLuminanceCoefficients:function(s,r=this.workingColorSpace){return s.fromArray(this.spaces[r].luminanceCoefficients)},define:function(s){Object.assign(this.spaces,s)},_getMatrix:function(s,r,o){return s.copy(this.spaces[o].fromXYZ).multiply(this.spaces[r].toXYZ)},_getDrawingBufferColorSpace:function(s){return this.spaces[s].outputColorSpaceConfig.drawingBufferColorSpace},_getUnpackColorSpace:function(s=this.workingColorSpace){return this.spaces[s].workingColorSpaceConfig.unpackColorSpace}},t=[.64,.33,.3,.6,.15,.06],e=[.2126,.7152,.0722],i=[.3127,.329];return n.define({[Ri]:{primaries:t,whitePoint:i,transfer:zs,toXYZ:nu,fromXYZ:iu,luminanceCoefficients:e,workingColorSpaceConfig:{unpackColorSpace:Je},outputColorSpaceConfig:{drawingBufferColorSpace:Je}},[Je]:{primaries:t,whitePoint:i,transfer:Jt,toXYZ:nu,fromXYZ:iu,luminanceCoefficients:e,outputColorSpaceConfig:{drawingBufferColorSpace:Je}}}),n}var zt=Wg();function $n(n){return n<.04045?n*.0773993808:Math.pow(n*.9478672986+.0521327014,2.4)}function ns(n){return n<.0031308?n*12.92:1.055*Math.pow(n,.41666)-.055}var Hi,_o=class{static getDataURL(t,e="image/png"){if(/^data:/i.test(t.src)||typeof HTMLCanvasElement>"u")return t.src;let i;if(t instanceof HTMLCanvasElement)i=t;else{Hi===void 0&&(Hi=Vs("canvas")),Hi.width=t.width,Hi.height=t.height;let s=Hi.getContext("2d");t instanceof ImageData?s.putImageData(t,0,0):s.drawImage(t,0,0,t.width,t.height),i=Hi}return i.toDataURL(e)}static sRGBToLinear(t){if(typeof HTMLImageElement<"u"&&t instanceof HTMLImageElement||typeof HTMLCanvasElement<"u"&&t instanceof HTMLCanvasElement||typeof ImageBitmap<"u"&&t instanceof ImageBitmap){let e=Vs("canvas");e.width=t.width,e.height=t.height;let i=e.getContext("2d");i.drawImage(t,0,0,t.width,t.height);let s=i.getImageData(0,0,t.width,t.height),r=s.data;for(let o=0;o<r.length;o++)r[o]=$n(r[o]/255)*255;return i.putImageData(s,0,0),e}else if(t.data){let e=t.data.slice(0);for(let i=0;i<e.length;i++)e instanceof Uint8Array||e instanceof Uint8ClampedArray?e[i]=Math.floor($n(e[i]/255)*255):e[i]=$n(e[i]);return{data:e,width:t.width,height:t.height}}else return It("ImageUtils.sRGBToLinear(): Unsupported image type. No color space conversion applied."),t}},Xg=0,rs=class{constructor(t=null){this.isTextureSource=!0,Object.defineProperty(this,"id",{value:Xg++}),this.uuid=Fi(),this.data=t,this.dataReady=!0,this.version=0}getSize(t){let e=this.data;return typeof HTMLVideoElement<"u"&&e instanceof HTMLVideoElement?t.set(e.videoWidth,e.videoHeight,0):typeof VideoFrame<"u"&&e instanceof VideoFrame?t.set(e.displayWidth,e.displayHeight,0):e!==null?t.set(e.width||0,e.height||0,e.depth||0):t.set(0,0,0),t}set needsUpdate(t){t===!0&&this.version++}toJSON(t){let e=t===void 0||typeof t=="string";if(!e&&t.images[this.uuid]!==void 0)return t.images[this.uuid];let i={uuid:this.uuid,url:""},s=this.data;if(s!==null){let r;if(Array.isArray(s)){r=[];for(let o=0,a=s.length;o<a;o++)s[o].isDataTexture?r.push(fl(s[o].image)):r.push(fl(s[o]))}else r=fl(s);i.url=r}return e||(t.images[this.uuid]=i),i}};function fl(n){return typeof HTMLImageElement<"u"&&n instanceof HTMLImageElement||typeof HTMLCanvasElement<"u"&&n instanceof HTMLCanvasElement||typeof ImageBitmap<"u"&&n instanceof ImageBitmap?_o.getDataURL(n):n.data?{data:Array.from(n.data),width:n.width,height:n.height,type:n.data.constructor.name}:(It("Texture: Unable to serialize Texture."),{})}var qg=0,pl=new z,We=class n extends Pn{constructor(t=n.DEFAULT_IMAGE,e=n.DEFAULT_MAPPING,i=In,s=In,r=ze,o=Jn,a=sn,l=en,c=n.DEFAULT_ANISOTROPY,h=jn){super(),this.isTexture=!0,Object.defineProperty(this,"id",{value:qg++}),this.uuid=Fi(),this.name="",this.source=new rs(t),this.mipmaps=[],this.mapping=e,this.channel=0,this.wrapS=i,this.wrapT=s,this.magFilter=r,this.minFilter=o,this.anisotropy=c,this.format=a,this.internalFormat=null,this.type=l,this.offset=new Xt(0,0),this.repeat=new Xt(1,1),this.center=new Xt(0,0),this.rotation=0,this.matrixAutoUpdate=!0,this.matrix=new Lt,this.generateMipmaps=!0,this.mipmapsAutoUpdate=!0,this.premultiplyAlpha=!1,this.flipY=!0,this.unpackAlignment=4,this.colorSpace=h,this.userData={},this.updateRanges=[],this.version=0,this.onUpdate=null,this.renderTarget=null,this.isRenderTargetTexture=!1,this.isArrayTexture=!!(t&&t.depth&&t.depth>1),this.pmremVersion=0,this.isPMREMTexture=!1,this.normalized=!1}get width(){return this.source.getSize(pl).x}get height(){return this.source.getSize(pl).y}get depth(){return this.source.getSize(pl).z}get image(){return this.source.data}set image(t){this.source.data=t}updateMatrix(){this.matrix.setUvTransform(this.offset.x,this.offset.y,this.repeat.x,this.repeat.y,this.rotation,this.center.x,this.center.y)}addUpdateRange(t,e){this.updateRanges.push({start:t,count:e})}clearUpdateRanges(){this.updateRanges.length=0}clone(){return new this.constructor().copy(this)}copy(t){return this.name=t.name,this.source=t.source,this.mipmaps=t.mipmaps.slice(0),this.mapping=t.mapping,this.channel=t.channel,this.wrapS=t.wrapS,this.wrapT=t.wrapT,this.magFilter=t.magFilter,this.minFilter=t.minFilter,this.anisotropy=t.anisotropy,this.format=t.format,this.internalFormat=t.internalFormat,this.type=t.type,this.normalized=t.normalized,this.offset.copy(t.offset),this.repeat.copy(t.repeat),this.center.copy(t.center),this.rotation=t.rotation,this.matrixAutoUpdate=t.matrixAutoUpdate,this.matrix.copy(t.matrix),this.generateMipmaps=t.generateMipmaps,this.mipmapsAutoUpdate=t.mipmapsAutoUpdate,this.premultiplyAlpha=t.premultiplyAlpha,this.flipY=t.flipY,this.unpackAlignment=t.unpackAlignment,this.colorSpace=t.colorSpace,this.renderTarget=t.renderTarget,this.isRenderTargetTexture=t.isRenderTargetTexture,this.isPMREMTexture=t.isPMREMTexture,this.isArrayTexture=t.isArrayTexture,this.userData=JSON.parse(JSON.stringify(t.userData)),this.needsUpdate=!0,this}setValues(t){for(let e in t){let i=t[e];if(i===void 0){It(`Texture.setValues(): parameter '${e}' has value of undefined.`);continue}let s=this[e];if(s===void 0){It(`Texture.setValues(): property '${e}' does not exist.`);continue}s&&i&&s.isVector2&&i.isVector2||s&&i&&s.isVector3&&i.isVector3||s&&i&&s.isMatrix3&&i.isMatrix3?s.copy(i):this[e]=i}}toJSON(t){let e=t===void 0||typeof t=="string";if(!e&&t.textures[this.uuid]!==void 0)return t.textures[this.uuid];let i={metadata:{version:4.7,type:"Texture",generator:"Texture.toJSON"},uuid:this.uuid,name:this.name,image:this.source.toJSON(t).uuid,mapping:this.mapping,channel:this.channel,repeat:[this.repeat.x,this.repeat.y],offset:[this.offset.x,this.offset.y],center:[this.center.x,this.center.y],rotation:this.rotation,wrap:[this.wrapS,this.wrapT],format:this.format,internalFormat:this.internalFormat,type:this.type,normalized:this.normalized,colorSpace:this.colorSpace,minFilter:this.minFilter,magFilter:this.magFilter,anisotropy:this.anisotropy,flipY:this.flipY,generateMipmaps:this.generateMipmaps,mipmapsAutoUpdate:this.mipmapsAutoUpdate,premultiplyAlpha:this.premultiplyAlpha,unpackAlignment:this.unpackAlignment};return Object.keys(this.userData).length>0&&(i.userData=this.userData),e||(t.textures[this.uuid]=i),i}dispose(){this.dispatchEvent({type:"dispose"})}transformUv(t){if(this.mapping!==Jl)return t;if(t.applyMatrix3(this.matrix),t.x<0||t.x>1)switch(this.wrapS){case fo:t.x=t.x-Math.floor(t.x);break;case In:t.x=t.x<0?0:1;break;case po:Math.abs(Math.floor(t.x)%2)===1?t.x=Math.ceil(t.x)-t.x:t.x=t.x-Math.floor(t.x);break}if(t.y<0||t.y>1)switch(this.wrapT){case fo:t.y=t.y-Math.floor(t.y);break;case In:t.y=t.y<0?0:1;break;case po:Math.abs(Math.floor(t.y)%2)===1?t.y=Math.ceil(t.y)-t.y:t.y=t.y-Math.floor(t.y);break}return this.flipY&&(t.y=1-t.y),t}set needsUpdate(t){t===!0&&(this.version++,this.source.needsUpdate=!0)}set needsPMREMUpdate(t){t===!0&&this.pmremVersion++}};We.DEFAULT_IMAGE=null;We.DEFAULT_MAPPING=Jl;We.DEFAULT_ANISOTROPY=1;var se=class{static{this.prototype.isVector4=!0}constructor(t=0,e=0,i=0,s=1){this.x=t,this.y=e,this.z=i,this.w=s}get width(){return this.z}set width(t){this.z=t}get height(){return this.w}set height(t){this.w=t}set(t,e,i,s){return this.x=t,this.y=e,this.z=i,this.w=s,this}setScalar(t){return this.x=t,this.y=t,this.z=t,this.w=t,this}setX(t){return this.x=t,this}setY(t){return this.y=t,this}setZ(t){return this.z=t,this}setW(t){return this.w=t,this}setComponent(t,e){switch(t){case 0:this.x=e;break;case 1:this.y=e;break;case 2:this.z=e;break;case 3:this.w=e;break;default:throw new Error("THREE.Vector4: index is out of range: "+t)}return this}getComponent(t){switch(t){case 0:return this.x;case 1:return this.y;case 2:return this.z;case 3:return this.w;default:throw new Error("THREE.Vector4: index is out of range: "+t)}}clone(){return new this.constructor(this.x,this.y,this.z,this.w)}copy(t){return this.x=t.x,this.y=t.y,this.z=t.z,this.w=t.w!==void 0?t.w:1,this}add(t){return this.x+=t.x,this.y+=t.y,this.z+=t.z,this.w+=t.w,this}addScalar(t){return this.x+=t,this.y+=t,this.z+=t,this.w+=t,this}addVectors(t,e){return this.x=t.x+e.x,this.y=t.y+e.y,this.z=t.z+e.z,this.w=t.w+e.w,this}addScaledVector(t,e){return this.x+=t.x*e,this.y+=t.y*e,this.z+=t.z*e,this.w+=t.w*e,this}sub(t){return this.x-=t.x,this.y-=t.y,this.z-=t.z,this.w-=t.w,this}subScalar(t){return this.x-=t,this.y-=t,this.z-=t,this.w-=t,this}subVectors(t,e){return this.x=t.x-e.x,this.y=t.y-e.y,this.z=t.z-e.z,this.w=t.w-e.w,this}multiply(t){return this.x*=t.x,this.y*=t.y,this.z*=t.z,this.w*=t.w,this}multiplyScalar(t){return this.x*=t,this.y*=t,this.z*=t,this.w*=t,this}applyMatrix4(t){let e=this.x,i=this.y,s=this.z,r=this.w,o=t.elements;return this.x=o[0]*e+o[4]*i+o[8]*s+o[12]*r,this.y=o[1]*e+o[5]*i+o[9]*s+o[13]*r,this.z=o[2]*e+o[6]*i+o[10]*s+o[14]*r,this.w=o[3]*e+o[7]*i+o[11]*s+o[15]*r,this}divide(t){return this.x/=t.x,this.y/=t.y,this.z/=t.z,this.w/=t.w,this}divideScalar(t){return this.multiplyScalar(1/t)}setAxisAngleFromQuaternion(t){this.w=2*Math.acos(t.w);let e=Math.sqrt(1-t.w*t.w);return e<1e-4?(this.x=1,this.y=0,this.z=0):(this.x=t.x/e,this.y=t.y/e,this.z=t.z/e),this}setAxisAngleFromRotationMatrix(t){let e,i,s,r,l=t.elements,c=l[0],h=l[4],d=l[8],u=l[1],f=l[5],g=l[9],M=l[2],p=l[6],m=l[10];if(Math.abs(h-u)<.01&&Math.abs(d-M)<.01&&Math.abs(g-p)<.01){if(Math.abs(h+u)<.1&&Math.abs(d+M)<.1&&Math.abs(g+p)<.1&&Math.abs(c+f+m-3)<.1)return this.set(1,0,0,0),this;e=Math.PI;let R=(c+1)/2,T=(f+1)/2,E=(m+1)/2,A=(h+u)/4,_=(d+M)/4,w=(g+p)/4;return R>T&&R>E?R<.01?(i=0,s=.707106781,r=.707106781):(i=Math.sqrt(R),s=A/i,r=_/i):T>E?T<.01?(i=.707106781,s=0,r=.707106781):(s=Math.sqrt(T),i=A/s,r=w/s):E<.01?(i=.707106781,s=.707106781,r=0):(r=Math.sqrt(E),i=_/r,s=w/r),this.set(i,s,r,e),this}let S=Math.sqrt((p-g)*(p-g)+(d-M)*(d-M)+(u-h)*(u-h));return Math.abs(S)<.001&&(S=1),this.x=(p-g)/S,this.y=(d-M)/S,this.z=(u-h)/S,this.w=Math.acos((c+f+m-1)/2),this}setFromMatrixPosition(t){let e=t.elements;return this.x=e[12],this.y=e[13],this.z=e[14],this.w=e[15],this}min(t){return this.x=Math.min(this.x,t.x),this.y=Math.min(this.y,t.y),this.z=Math.min(this.z,t.z),this.w=Math.min(this.w,t.w),this}max(t){return this.x=Math.max(this.x,t.x),this.y=Math.max(this.y,t.y),this.z=Math.max(this.z,t.z),this.w=Math.max(this.w,t.w),this}clamp(t,e){return this.x=Wt(this.x,t.x,e.x),this.y=Wt(this.y,t.y,e.y),this.z=Wt(this.z,t.z,e.z),this.w=Wt(this.w,t.w,e.w),this}clampScalar(t,e){return this.x=Wt(this.x,t,e),this.y=Wt(this.y,t,e),this.z=Wt(this.z,t,e),this.w=Wt(this.w,t,e),this}clampLength(t,e){let i=this.length();return this.divideScalar(i||1).multiplyScalar(Wt(i,t,e))}floor(){return this.x=Math.floor(this.x),this.y=Math.floor(this.y),this.z=Math.floor(this.z),this.w=Math.floor(this.w),this}ceil(){return this.x=Math.ceil(this.x),this.y=Math.ceil(this.y),this.z=Math.ceil(this.z),this.w=Math.ceil(this.w),this}round(){return this.x=Math.round(this.x),this.y=Math.round(this.y),this.z=Math.round(this.z),this.w=Math.round(this.w),this}roundToZero(){return this.x=Math.trunc(this.x),this.y=Math.trunc(this.y),this.z=Math.trunc(this.z),this.w=Math.trunc(this.w),this}negate(){return this.x=-this.x,this.y=-this.y,this.z=-this.z,this.w=-this.w,this}dot(t){return this.x*t.x+this.y*t.y+this.z*t.z+this.w*t.w}lengthSq(){return this.x*this.x+this.y*this.y+this.z*this.z+this.w*this.w}length(){return Math.sqrt(this.x*this.x+this.y*this.y+this.z*this.z+this.w*this.w)}manhattanLength(){return Math.abs(this.x)+Math.abs(this.y)+Math.abs(this.z)+Math.abs(this.w)}normalize(){return this.divideScalar(this.length()||1)}setLength(t){return this.normalize().multiplyScalar(t)}lerp(t,e){return this.x+=(t.x-this.x)*e,this.y+=(t.y-this.y)*e,this.z+=(t.z-this.z)*e,this.w+=(t.w-this.w)*e,this}lerpVectors(t,e,i){return this.x=t.x+(e.x-t.x)*i,this.y=t.y+(e.y-t.y)*i,this.z=t.z+(e.z-t.z)*i,this.w=t.w+(e.w-t.w)*i,this}equals(t){return t.x===this.x&&t.y===this.y&&t.z===this.z&&t.w===this.w}fromArray(t,e=0){return this.x=t[e],this.y=t[e+1],this.z=t[e+2],this.w=t[e+3],this}toArray(t=[],e=0){return t[e]=this.x,t[e+1]=this.y,t[e+2]=this.z,t[e+3]=this.w,t}fromBufferAttribute(t,e){return this.x=t.getX(e),this.y=t.getY(e),this.z=t.getZ(e),this.w=t.getW(e),this}random(){return this.x=Math.random(),this.y=Math.random(),this.z=Math.random(),this.w=Math.random(),this}*[Symbol.iterator](){yield this.x,yield this.y,yield this.z,yield this.w}},xo=class extends Pn{constructor(t=1,e=1,i={}){super(),i=Object.assign({generateMipmaps:!1,internalFormat:null,minFilter:ze,depthBuffer:!0,stencilBuffer:!1,resolveColorBuffer:!0,resolveDepthBuffer:!0,resolveStencilBuffer:!0,storeMultisampledColorBuffer:!0,storeMultisampledDepthBuffer:!0,storeMultisampledStencilBuffer:!0,depthTexture:null,samples:0,count:1,depth:1,multiview:!1,useArrayDepthTexture:!1},i),this.isRenderTarget=!0,this.width=t,this.height=e,this.depth=i.depth,this.scissor=new se(0,0,t,e),this.scissorTest=!1,this.viewport=new se(0,0,t,e),this.textures=[];let s=i.count;for(let r=0;r<s;r++)this.textures[r]=new We({width:t,height:e,depth:i.depth}),this.textures[r].isRenderTargetTexture=!0,this.textures[r].renderTarget=this;this._setTextureOptions(i),this.depthBuffer=i.depthBuffer,this.stencilBuffer=i.stencilBuffer,this.resolveColorBuffer=i.resolveColorBuffer,this.resolveDepthBuffer=i.resolveDepthBuffer,this.resolveStencilBuffer=i.resolveStencilBuffer,this.storeMultisampledColorBuffer=i.storeMultisampledColorBuffer,this.storeMultisampledDepthBuffer=i.storeMultisampledDepthBuffer,this.storeMultisampledStencilBuffer=i.storeMultisampledStencilBuffer,this._depthTexture=null,this.depthTexture=i.depthTexture,this.samples=i.samples,this.multiview=i.multiview,this.useArrayDepthTexture=i.useArrayDepthTexture}_setTextureOptions(t={}){let e={minFilter:ze,generateMipmaps:!1,flipY:!1,internalFormat:null};t.mapping!==void 0&&(e.mapping=t.mapping),t.wrapS!==void 0&&(e.wrapS=t.wrapS),t.wrapT!==void 0&&(e.wrapT=t.wrapT),t.wrapR!==void 0&&(e.wrapR=t.wrapR),t.magFilter!==void 0&&(e.magFilter=t.magFilter),t.minFilter!==void 0&&(e.minFilter=t.minFilter),t.format!==void 0&&(e.format=t.format),t.type!==void 0&&(e.type=t.type),t.anisotropy!==void 0&&(e.anisotropy=t.anisotropy),t.colorSpace!==void 0&&(e.colorSpace=t.colorSpace),t.flipY!==void 0&&(e.flipY=t.flipY),t.generateMipmaps!==void 0&&(e.generateMipmaps=t.generateMipmaps),t.mipmapsAutoUpdate!==void 0&&(e.mipmapsAutoUpdate=t.mipmapsAutoUpdate),t.internalFormat!==void 0&&(e.internalFormat=t.internalFormat);for(let i=0;i<this.textures.length;i++)this.textures[i].setValues(e)}get texture(){return this.textures[0]}set texture(t){this.textures[0]=t}set depthTexture(t){this._depthTexture!==null&&this._depthTexture.renderTarget===this&&(this._depthTexture.renderTarget=null),t!==null&&t.renderTarget===null&&(t.renderTarget=this),this._depthTexture=t}get depthTexture(){return this._depthTexture}setSize(t,e,i=1){if(this.width!==t||this.height!==e||this.depth!==i){this.width=t,this.height=e,this.depth=i;for(let s=0,r=this.textures.length;s<r;s++)this.textures[s].image.width=t,this.textures[s].image.height=e,this.textures[s].image.depth=i,this.textures[s].isData3DTexture!==!0&&(this.textures[s].isArrayTexture=this.textures[s].image.depth>1);this.dispose()}this.viewport.set(0,0,t,e),this.scissor.set(0,0,t,e)}clone(){return new this.constructor().copy(this)}copy(t){this.width=t.width,this.height=t.height,this.depth=t.depth,this.scissor.copy(t.scissor),this.scissorTest=t.scissorTest,this.viewport.copy(t.viewport),this.textures.length=0;for(let e=0,i=t.textures.length;e<i;e++){this.textures[e]=t.textures[e].clone(),this.textures[e].isRenderTargetTexture=!0,this.textures[e].renderTarget=this;let s=Object.assign({},t.textures[e].image);this.textures[e].source=new rs(s)}if(this.depthBuffer=t.depthBuffer,this.stencilBuffer=t.stencilBuffer,this.resolveColorBuffer=t.resolveColorBuffer,this.resolveDepthBuffer=t.resolveDepthBuffer,this.resolveStencilBuffer=t.resolveStencilBuffer,this.storeMultisampledColorBuffer=t.storeMultisampledColorBuffer,this.storeMultisampledDepthBuffer=t.storeMultisampledDepthBuffer,this.storeMultisampledStencilBuffer=t.storeMultisampledStencilBuffer,t.depthTexture!==null)if(t.depthTexture.renderTarget===t){let e=t.depthTexture.clone();e.renderTarget=null,this.depthTexture=e}else this.depthTexture=t.depthTexture;else this.depthTexture=null;return this.samples=t.samples,this.multiview=t.multiview,this.useArrayDepthTexture=t.useArrayDepthTexture,this}dispose(){this.dispatchEvent({type:"dispose"})}},je=class extends xo{constructor(t=1,e=1,i={}){super(t,e,i),this.isWebGLRenderTarget=!0}},Ws=class extends We{constructor(t=null,e=1,i=1,s=1){super(null),this.isDataArrayTexture=!0,this.image={data:t,width:e,height:i,depth:s},this.magFilter=pe,this.minFilter=pe,this.wrapR=In,this.generateMipmaps=!1,this.flipY=!1,this.unpackAlignment=1,this.layerUpdates=new Set}copy(t){return super.copy(t),this.wrapR=t.wrapR,this}addLayerUpdate(t){this.layerUpdates.add(t)}clearLayerUpdates(){this.layerUpdates.clear()}};var vo=class extends We{constructor(t=null,e=1,i=1,s=1){super(null),this.isData3DTexture=!0,this.image={data:t,width:e,height:i,depth:s},this.magFilter=pe,this.minFilter=pe,this.wrapR=In,this.generateMipmaps=!1,this.flipY=!1,this.unpackAlignment=1}copy(t){return super.copy(t),this.wrapR=t.wrapR,this}};var fe=class n{static{this.prototype.isMatrix4=!0}constructor(t,e,i,s,r,o,a,l,c,h,d,u,f,g,M,p){this.elements=[1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1],t!==void 0&&this.set(t,e,i,s,r,o,a,l,c,h,d,u,f,g,M,p)}set(t,e,i,s,r,o,a,l,c,h,d,u,f,g,M,p){let m=this.elements;return m[0]=t,m[4]=e,m[8]=i,m[12]=s,m[1]=r,m[5]=o,m[9]=a,m[13]=l,m[2]=c,m[6]=h,m[10]=d,m[14]=u,m[3]=f,m[7]=g,m[11]=M,m[15]=p,this}identity(){return this.set(1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1),this}clone(){return new n().fromArray(this.elements)}copy(t){let e=this.elements,i=t.elements;return e[0]=i[0],e[1]=i[1],e[2]=i[2],e[3]=i[3],e[4]=i[4],e[5]=i[5],e[6]=i[6],e[7]=i[7],e[8]=i[8],e[9]=i[9],e[10]=i[10],e[11]=i[11],e[12]=i[12],e[13]=i[13],e[14]=i[14],e[15]=i[15],this}copyPosition(t){let e=this.elements,i=t.elements;return e[12]=i[12],e[13]=i[13],e[14]=i[14],this}setFromMatrix3(t){let e=t.elements;return this.set(e[0],e[3],e[6],0,e[1],e[4],e[7],0,e[2],e[5],e[8],0,0,0,0,1),this}extractBasis(t,e,i){return this.determinantAffine()===0?(t.set(1,0,0),e.set(0,1,0),i.set(0,0,1),this):(t.setFromMatrixColumn(this,0),e.setFromMatrixColumn(this,1),i.setFromMatrixColumn(this,2),this)}makeBasis(t,e,i){return this.set(t.x,e.x,i.x,0,t.y,e.y,i.y,0,t.z,e.z,i.z,0,0,0,0,1),this}extractRotation(t){if(t.determinantAffine()===0)return this.identity();let e=this.elements,i=t.elements,s=1/Wi.setFromMatrixColumn(t,0).length(),r=1/Wi.setFromMatrixColumn(t,1).length(),o=1/Wi.setFromMatrixColumn(t,2).length();return e[0]=i[0]*s,e[1]=i[1]*s,e[2]=i[2]*s,e[3]=0,e[4]=i[4]*r,e[5]=i[5]*r,e[6]=i[6]*r,e[7]=0,e[8]=i[8]*o,e[9]=i[9]*o,e[10]=i[10]*o,e[11]=0,e[12]=0,e[13]=0,e[14]=0,e[15]=1,this}makeRotationFromEuler(t){let e=this.elements,i=t.x,s=t.y,r=t.z,o=Math.cos(i),a=Math.sin(i),l=Math.cos(s),c=Math.sin(s),h=Math.cos(r),d=Math.sin(r);if(t.order==="XYZ"){let u=o*h,f=o*d,g=a*h,M=a*d;e[0]=l*h,e[4]=-l*d,e[8]=c,e[1]=f+g*c,e[5]=u-M*c,e[9]=-a*l,e[2]=M-u*c,e[6]=g+f*c,e[10]=o*l}else if(t.order==="YXZ"){let u=l*h,f=l*d,g=c*h,M=c*d;e[0]=u+M*a,e[4]=g*a-f,e[8]=o*c,e[1]=o*d,e[5]=o*h,e[9]=-a,e[2]=f*a-g,e[6]=M+u*a,e[10]=o*l}else if(t.order==="ZXY"){let u=l*h,f=l*d,g=c*h,M=c*d;e[0]=u-M*a,e[4]=-o*d,e[8]=g+f*a,e[1]=f+g*a,e[5]=o*h,e[9]=M-u*a,e[2]=-o*c,e[6]=a,e[10]=o*l}else if(t.order==="ZYX"){let u=o*h,f=o*d,g=a*h,M=a*d;e[0]=l*h,e[4]=g*c-f,e[8]=u*c+M,e[1]=l*d,e[5]=M*c+u,e[9]=f*c-g,e[2]=-c,e[6]=a*l,e[10]=o*l}else if(t.order==="YZX"){let u=o*l,f=o*c,g=a*l,M=a*c;e[0]=l*h,e[4]=M-u*d,e[8]=g*d+f,e[1]=d,e[5]=o*h,e[9]=-a*h,e[2]=-c*h,e[6]=f*d+g,e[10]=u-M*d}else if(t.order==="XZY"){let u=o*l,f=o*c,g=a*l,M=a*c;e[0]=l*h,e[4]=-d,e[8]=c*h,e[1]=u*d+M,e[5]=o*h,e[9]=f*d-g,e[2]=g*d-f,e[6]=a*h,e[10]=M*d+u}return e[3]=0,e[7]=0,e[11]=0,e[12]=0,e[13]=0,e[14]=0,e[15]=1,this}makeRotationFromQuaternion(t){return this.compose($g,t,Yg)}lookAt(t,e,i){let s=this.elements;return Ye.subVectors(t,e),Ye.lengthSq()===0&&(Ye.z=1),Ye.normalize(),si.crossVectors(i,Ye),si.lengthSq()===0&&(Math.abs(i.z)===1?Ye.x+=1e-4:Ye.z+=1e-4,Ye.normalize(),si.crossVectors(i,Ye)),si.normalize(),Fr.crossVectors(Ye,si),s[0]=si.x,s[4]=Fr.x,s[8]=Ye.x,s[1]=si.y,s[5]=Fr.y,s[9]=Ye.y,s[2]=si.z,s[6]=Fr.z,s[10]=Ye.z,this}multiply(t){return this.multiplyMatrices(this,t)}premultiply(t){return this.multiplyMatrices(t,this)}multiplyMatrices(t,e){let i=t.elements,s=e.elements,r=this.elements,o=i[0],a=i[4],l=i[8],c=i[12],h=i[1],d=i[5],u=i[9],f=i[13],g=i[2],M=i[6],p=i[10],m=i[14],S=i[3],R=i[7],T=i[11],E=i[15],A=s[0],_=s[4],w=s[8],B=s[12],L=s[1],D=s[5],G=s[9],$=s[13],P=s[2],X=s[6],K=s[10],V=s[14],nt=s[3],W=s[7],Q=s[11],tt=s[15];return r[0]=o*A+a*L+l*P+c*nt,r[4]=o*_+a*D+l*X+c*W,r[8]=o*w+a*G+l*K+c*Q,r[12]=o*B+a*$+l*V+c*tt,r[1]=h*A+d*L+u*P+f*nt,r[5]=h*_+d*D+u*X+f*W,r[9]=h*w+d*G+u*K+f*Q,r[13]=h*B+d*$+u*V+f*tt,r[2]=g*A+M*L+p*P+m*nt,r[6]=g*_+M*D+p*X+m*W,r[10]=g*w+M*G+p*K+m*Q,r[14]=g*B+M*$+p*V+m*tt,r[3]=S*A+R*L+T*P+E*nt,r[7]=S*_+R*D+T*X+E*W,r[11]=S*w+R*G+T*K+E*Q,r[15]=S*B+R*$+T*V+E*tt,this}multiplyScalar(t){let e=this.elements;return e[0]*=t,e[4]*=t,e[8]*=t,e[12]*=t,e[1]*=t,e[5]*=t,e[9]*=t,e[13]*=t,e[2]*=t,e[6]*=t,e[10]*=t,e[14]*=t,e[3]*=t,e[7]*=t,e[11]*=t,e[15]*=t,this}determinant(){let t=this.elements,e=t[0],i=t[4],s=t[8],r=t[12],o=t[1],a=t[5],l=t[9],c=t[13],h=t[2],d=t[6],u=t[10],f=t[14],g=t[3],M=t[7],p=t[11],m=t[15],S=l*f-c*u,R=a*f-c*d,T=a*u-l*d,E=o*f-c*h,A=o*u-l*h,_=o*d-a*h;return e*(M*S-p*R+m*T)-i*(g*S-p*E+m*A)+s*(g*R-M*E+m*_)-r*(g*T-M*A+p*_)}determinantAffine(){let t=this.elements,e=t[0],i=t[4],s=t[8],r=t[1],o=t[5],a=t[9],l=t[2],c=t[6],h=t[10];return e*(o*h-a*c)-i*(r*h-a*l)+s*(r*c-o*l)}transpose(){let t=this.elements,e;return e=t[1],t[1]=t[4],t[4]=e,e=t[2],t[2]=t[8],t[8]=e,e=t[6],t[6]=t[9],t[9]=e,e=t[3],t[3]=t[12],t[12]=e,e=t[7],t[7]=t[13],t[13]=e,e=t[11],t[11]=t[14],t[14]=e,this}setPosition(t,e,i){let s=this.elements;return t.isVector3?(s[12]=t.x,s[13]=t.y,s[14]=t.z):(s[12]=t,s[13]=e,s[14]=i),this}invert(){let t=this.elements,e=t[0],i=t[1],s=t[2],r=t[3],o=t[4],a=t[5],l=t[6],c=t[7],h=t[8],d=t[9],u=t[10],f=t[11],g=t[12],M=t[13],p=t[14],m=t[15],S=e*a-i*o,R=e*l-s*o,T=e*c-r*o,E=i*l-s*a,A=i*c-r*a,_=s*c-r*l,w=h*M-d*g,B=h*p-u*g,L=h*m-f*g,D=d*p-u*M,G=d*m-f*M,$=u*m-f*p,P=S*$-R*G+T*D+E*L-A*B+_*w;if(P===0)return this.set(0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0);let X=1/P;return t[0]=(a*$-l*G+c*D)*X,t[1]=(s*G-i*$-r*D)*X,t[2]=(M*_-p*A+m*E)*X,t[3]=(u*A-d*_-f*E)*X,t[4]=(l*L-o*$-c*B)*X,t[5]=(e*$-s*L+r*B)*X,t[6]=(p*T-g*_-m*R)*X,t[7]=(h*_-u*T+f*R)*X,t[8]=(o*G-a*L+c*w)*X,t[9]=(i*L-e*G-r*w)*X,t[10]=(g*A-M*T+m*S)*X,t[11]=(d*T-h*A-f*S)*X,t[12]=(a*B-o*D-l*w)*X,t[13]=(e*D-i*B+s*w)*X,t[14]=(M*R-g*E-p*S)*X,t[15]=(h*E-d*R+u*S)*X,this}scale(t){let e=this.elements,i=t.x,s=t.y,r=t.z;return e[0]*=i,e[4]*=s,e[8]*=r,e[1]*=i,e[5]*=s,e[9]*=r,e[2]*=i,e[6]*=s,e[10]*=r,e[3]*=i,e[7]*=s,e[11]*=r,this}getMaxScaleOnAxis(){let t=this.elements,e=t[0]*t[0]+t[1]*t[1]+t[2]*t[2],i=t[4]*t[4]+t[5]*t[5]+t[6]*t[6],s=t[8]*t[8]+t[9]*t[9]+t[10]*t[10];return Math.sqrt(Math.max(e,i,s))}makeTranslation(t,e,i){return t.isVector3?this.set(1,0,0,t.x,0,1,0,t.y,0,0,1,t.z,0,0,0,1):this.set(1,0,0,t,0,1,0,e,0,0,1,i,0,0,0,1),this}makeRotationX(t){let e=Math.cos(t),i=Math.sin(t);return this.set(1,0,0,0,0,e,-i,0,0,i,e,0,0,0,0,1),this}makeRotationY(t){let e=Math.cos(t),i=Math.sin(t);return this.set(e,0,i,0,0,1,0,0,-i,0,e,0,0,0,0,1),this}makeRotationZ(t){let e=Math.cos(t),i=Math.sin(t);return this.set(e,-i,0,0,i,e,0,0,0,0,1,0,0,0,0,1),this}makeRotationAxis(t,e){let i=Math.cos(e),s=Math.sin(e),r=1-i,o=t.x,a=t.y,l=t.z,c=r*o,h=r*a;return this.set(c*o+i,c*a-s*l,c*l+s*a,0,c*a+s*l,h*a+i,h*l-s*o,0,c*l-s*a,h*l+s*o,r*l*l+i,0,0,0,0,1),this}makeScale(t,e,i){return this.set(t,0,0,0,0,e,0,0,0,0,i,0,0,0,0,1),this}makeShear(t,e,i,s,r,o){return this.set(1,i,r,0,t,1,o,0,e,s,1,0,0,0,0,1),this}compose(t,e,i){let s=this.elements,r=e._x,o=e._y,a=e._z,l=e._w,c=r+r,h=o+o,d=a+a,u=r*c,f=r*h,g=r*d,M=o*h,p=o*d,m=a*d,S=l*c,R=l*h,T=l*d,E=i.x,A=i.y,_=i.z;return s[0]=(1-(M+m))*E,s[1]=(f+T)*E,s[2]=(g-R)*E,s[3]=0,s[4]=(f-T)*A,s[5]=(1-(u+m))*A,s[6]=(p+S)*A,s[7]=0,s[8]=(g+R)*_,s[9]=(p-S)*_,s[10]=(1-(u+M))*_,s[11]=0,s[12]=t.x,s[13]=t.y,s[14]=t.z,s[15]=1,this}decompose(t,e,i){let s=this.elements;t.x=s[12],t.y=s[13],t.z=s[14];let r=this.determinantAffine();if(r===0)return i.set(1,1,1),e.identity(),this;let o=Wi.set(s[0],s[1],s[2]).length(),a=Wi.set(s[4],s[5],s[6]).length(),l=Wi.set(s[8],s[9],s[10]).length();r<0&&(o=-o),xn.copy(this);let c=1/o,h=1/a,d=1/l;return xn.elements[0]*=c,xn.elements[1]*=c,xn.elements[2]*=c,xn.elements[4]*=h,xn.elements[5]*=h,xn.elements[6]*=h,xn.elements[8]*=d,xn.elements[9]*=d,xn.elements[10]*=d,e.setFromRotationMatrix(xn),i.x=o,i.y=a,i.z=l,this}makePerspective(t,e,i,s,r,o,a=dn,l=!1){let c=this.elements,h=2*r/(e-t),d=2*r/(i-s),u=(e+t)/(e-t),f=(i+s)/(i-s),g,M;if(l)g=r/(o-r),M=o*r/(o-r);else if(a===dn)g=-(o+r)/(o-r),M=-2*o*r/(o-r);else if(a===Gs)g=-o/(o-r),M=-o*r/(o-r);else throw new Error("THREE.Matrix4.makePerspective(): Invalid coordinate system: "+a);return c[0]=h,c[4]=0,c[8]=u,c[12]=0,c[1]=0,c[5]=d,c[9]=f,c[13]=0,c[2]=0,c[6]=0,c[10]=g,c[14]=M,c[3]=0,c[7]=0,c[11]=-1,c[15]=0,this}makeOrthographic(t,e,i,s,r,o,a=dn,l=!1){let c=this.elements,h=2/(e-t),d=2/(i-s),u=-(e+t)/(e-t),f=-(i+s)/(i-s),g,M;if(l)g=1/(o-r),M=o/(o-r);else if(a===dn)g=-2/(o-r),M=-(o+r)/(o-r);else if(a===Gs)g=-1/(o-r),M=-r/(o-r);else throw new Error("THREE.Matrix4.makeOrthographic(): Invalid coordinate system: "+a);return c[0]=h,c[4]=0,c[8]=0,c[12]=u,c[1]=0,c[5]=d,c[9]=0,c[13]=f,c[2]=0,c[6]=0,c[10]=g,c[14]=M,c[3]=0,c[7]=0,c[11]=0,c[15]=1,this}equals(t){let e=this.elements,i=t.elements;for(let s=0;s<16;s++)if(e[s]!==i[s])return!1;return!0}fromArray(t,e=0){for(let i=0;i<16;i++)this.elements[i]=t[i+e];return this}toArray(t=[],e=0){let i=this.elements;return t[e]=i[0],t[e+1]=i[1],t[e+2]=i[2],t[e+3]=i[3],t[e+4]=i[4],t[e+5]=i[5],t[e+6]=i[6],t[e+7]=i[7],t[e+8]=i[8],t[e+9]=i[9],t[e+10]=i[10],t[e+11]=i[11],t[e+12]=i[12],t[e+13]=i[13],t[e+14]=i[14],t[e+15]=i[15],t}},Wi=new z,xn=new fe,$g=new z(0,0,0),Yg=new z(1,1,1),si=new z,Fr=new z,Ye=new z,su=new fe,ru=new Ln,hi=class n{constructor(t=0,e=0,i=0,s=n.DEFAULT_ORDER){this.isEuler=!0,this._x=t,this._y=e,this._z=i,this._order=s}get x(){return this._x}set x(t){this._x=t,this._onChangeCallback()}get y(){return this._y}set y(t){this._y=t,this._onChangeCallback()}get z(){return this._z}set z(t){this._z=t,this._onChangeCallback()}get order(){return this._order}set order(t){this._order=t,this._onChangeCallback()}set(t,e,i,s=this._order){return this._x=t,this._y=e,this._z=i,this._order=s,this._onChangeCallback(),this}clone(){return new this.constructor(this._x,this._y,this._z,this._order)}copy(t){return this._x=t._x,this._y=t._y,this._z=t._z,this._order=t._order,this._onChangeCallback(),this}setFromRotationMatrix(t,e=this._order,i=!0){let s=t.elements,r=s[0],o=s[4],a=s[8],l=s[1],c=s[5],h=s[9],d=s[2],u=s[6],f=s[10];switch(e){case"XYZ":this._y=Math.asin(Wt(a,-1,1)),Math.abs(a)<.9999999?(this._x=Math.atan2(-h,f),this._z=Math.atan2(-o,r)):(this._x=Math.atan2(u,c),this._z=0);break;case"YXZ":this._x=Math.asin(-Wt(h,-1,1)),Math.abs(h)<.9999999?(this._y=Math.atan2(a,f),this._z=Math.atan2(l,c)):(this._y=Math.atan2(-d,r),this._z=0);break;case"ZXY":this._x=Math.asin(Wt(u,-1,1)),Math.abs(u)<.9999999?(this._y=Math.atan2(-d,f),this._z=Math.atan2(-o,c)):(this._y=0,this._z=Math.atan2(l,r));break;case"ZYX":this._y=Math.asin(-Wt(d,-1,1)),Math.abs(d)<.9999999?(this._x=Math.atan2(u,f),this._z=Math.atan2(l,r)):(this._x=0,this._z=Math.atan2(-o,c));break;case"YZX":this._z=Math.asin(Wt(l,-1,1)),Math.abs(l)<.9999999?(this._x=Math.atan2(-h,c),this._y=Math.atan2(-d,r)):(this._x=0,this._y=Math.atan2(a,f));break;case"XZY":this._z=Math.asin(-Wt(o,-1,1)),Math.abs(o)<.9999999?(this._x=Math.atan2(u,c),this._y=Math.atan2(a,r)):(this._x=Math.atan2(-h,f),this._y=0);break;default:It("Euler: .setFromRotationMatrix() encountered an unknown order: "+e)}return this._order=e,i===!0&&this._onChangeCallback(),this}setFromQuaternion(t,e,i){return su.makeRotationFromQuaternion(t),this.setFromRotationMatrix(su,e,i)}setFromVector3(t,e=this._order){return this.set(t.x,t.y,t.z,e)}reorder(t){return ru.setFromEuler(this),this.setFromQuaternion(ru,t)}equals(t){return t._x===this._x&&t._y===this._y&&t._z===this._z&&t._order===this._order}fromArray(t){return this._x=t[0],this._y=t[1],this._z=t[2],t[3]!==void 0&&(this._order=t[3]),this._onChangeCallback(),this}toArray(t=[],e=0){return t[e]=this._x,t[e+1]=this._y,t[e+2]=this._z,t[e+3]=this._order,t}_onChange(t){return this._onChangeCallback=t,this}_onChangeCallback(){}*[Symbol.iterator](){yield this._x,yield this._y,yield this._z,yield this._order}};hi.DEFAULT_ORDER="XYZ";var Xs=class{constructor(){this.mask=1}set(t){this.mask=(1<<t|0)>>>0}enable(t){this.mask|=1<<t|0}enableAll(){this.mask=-1}toggle(t){this.mask^=1<<t|0}disable(t){this.mask&=~(1<<t|0)}disableAll(){this.mask=0}test(t){return(this.mask&t.mask)!==0}isEnabled(t){return(this.mask&(1<<t|0))!==0}},Zg=0,ou=new z,Xi=new Ln,Vn=new fe,Br=new z,Ds=new z,Jg=new z,Kg=new Ln,au=new z(1,0,0),lu=new z(0,1,0),cu=new z(0,0,1),hu={type:"added"},jg={type:"removed"},qi={type:"childadded",child:null},ml={type:"childremoved",child:null},pn=class n extends Pn{constructor(){super(),this.isObject3D=!0,Object.defineProperty(this,"id",{value:Zg++}),this.uuid=Fi(),this.name="",this.type="Object3D",this.parent=null,this.children=[],this.up=n.DEFAULT_UP.clone();let t=new z,e=new hi,i=new Ln,s=new z(1,1,1);function r(){i.setFromEuler(e,!1)}function o(){e.setFromQuaternion(i,void 0,!1)}e._onChange(r),i._onChange(o),Object.defineProperties(this,{position:{configurable:!0,enumerable:!0,value:t},rotation:{configurable:!0,enumerable:!0,value:e},quaternion:{configurable:!0,enumerable:!0,value:i},scale:{configurable:!0,enumerable:!0,value:s},modelViewMatrix:{value:new fe},normalMatrix:{value:new Lt}}),this.matrix=new fe,this.matrixWorld=new fe,this.matrixAutoUpdate=n.DEFAULT_MATRIX_AUTO_UPDATE,this.matrixWorldAutoUpdate=n.DEFAULT_MATRIX_WORLD_AUTO_UPDATE,this.matrixWorldNeedsUpdate=!1,this.layers=new Xs,this.visible=!0,this.castShadow=!1,this.receiveShadow=!1,this.frustumCulled=!0,this.renderOrder=0,this.animations=[],this.customDepthMaterial=void 0,this.customDistanceMaterial=void 0,this.static=!1,this.userData={},this.pivot=null}onBeforeShadow(){}onAfterShadow(){}onBeforeRender(){}onAfterRender(){}applyMatrix4(t){this.matrixAutoUpdate&&this.updateMatrix(),this.matrix.premultiply(t),this.matrix.decompose(this.position,this.quaternion,this.scale),this.pivot!==null&&this.position.copy(this.pivot).applyMatrix4(this.matrix).sub(this.pivot)}applyQuaternion(t){return this.quaternion.premultiply(t),this}setRotationFromAxisAngle(t,e){this.quaternion.setFromAxisAngle(t,e)}setRotationFromEuler(t){this.quaternion.setFromEuler(t,!0)}setRotationFromMatrix(t){this.quaternion.setFromRotationMatrix(t)}setRotationFromQuaternion(t){this.quaternion.copy(t)}rotateOnAxis(t,e){return Xi.setFromAxisAngle(t,e),this.quaternion.multiply(Xi),this}rotateOnWorldAxis(t,e){return Xi.setFromAxisAngle(t,e),this.quaternion.premultiply(Xi),this}rotateX(t){return this.rotateOnAxis(au,t)}rotateY(t){return this.rotateOnAxis(lu,t)}rotateZ(t){return this.rotateOnAxis(cu,t)}translateOnAxis(t,e){return ou.copy(t).applyQuaternion(this.quaternion),this.position.add(ou.multiplyScalar(e)),this}translateX(t){return this.translateOnAxis(au,t)}translateY(t){return this.translateOnAxis(lu,t)}translateZ(t){return this.translateOnAxis(cu,t)}localToWorld(t){return this.updateWorldMatrix(!0,!1),t.applyMatrix4(this.matrixWorld)}worldToLocal(t){return this.updateWorldMatrix(!0,!1),t.applyMatrix4(Vn.copy(this.matrixWorld).invert())}lookAt(t,e,i){t.isVector3?Br.copy(t):Br.set(t,e,i);let s=this.parent;this.updateWorldMatrix(!0,!1),Ds.setFromMatrixPosition(this.matrixWorld),this.isCamera||this.isLight?Vn.lookAt(Ds,Br,this.up):Vn.lookAt(Br,Ds,this.up),this.quaternion.setFromRotationMatrix(Vn),s&&(Vn.extractRotation(s.matrixWorld),Xi.setFromRotationMatrix(Vn),this.quaternion.premultiply(Xi.invert()))}add(t){if(arguments.length>1){for(let e=0;e<arguments.length;e++)this.add(arguments[e]);return this}return t===this?(Pt("Object3D.add: object can't be added as a child of itself.",t),this):(t&&t.isObject3D?(t.removeFromParent(),t.parent=this,this.children.push(t),t.dispatchEvent(hu),qi.child=t,this.dispatchEvent(qi),qi.child=null):Pt("Object3D.add: object not an instance of THREE.Object3D.",t),this)}remove(t){if(arguments.length>1){for(let i=0;i<arguments.length;i++)this.remove(arguments[i]);return this}let e=this.children.indexOf(t);return e!==-1&&(t.parent=null,this.children.splice(e,1),t.dispatchEvent(jg),ml.child=t,this.dispatchEvent(ml),ml.child=null),this}removeFromParent(){let t=this.parent;return t!==null&&t.remove(this),this}clear(){return this.remove(...this.children)}attach(t){return this.updateWorldMatrix(!0,!1),Vn.copy(this.matrixWorld).invert(),t.parent!==null&&(t.parent.updateWorldMatrix(!0,!1),Vn.multiply(t.parent.matrixWorld)),t.applyMatrix4(Vn),t.removeFromParent(),t.parent=this,this.children.push(t),t.updateWorldMatrix(!1,!0),t.dispatchEvent(hu),qi.child=t,this.dispatchEvent(qi),qi.child=null,this}getObjectById(t){return this.getObjectByProperty("id",t)}getObjectByName(t){return this.getObjectByProperty("name",t)}getObjectByProperty(t,e){if(this[t]===e)return this;for(let i=0,s=this.children.length;i<s;i++){let o=this.children[i].getObjectByProperty(t,e);if(o!==void 0)return o}}getObjectsByProperty(t,e,i=[]){this[t]===e&&i.push(this);let s=this.children;for(let r=0,o=s.length;r<o;r++)s[r].getObjectsByProperty(t,e,i);return i}getWorldPosition(t){return this.updateWorldMatrix(!0,!1),t.setFromMatrixPosition(this.matrixWorld)}getWorldQuaternion(t){return this.updateWorldMatrix(!0,!1),this.matrixWorld.decompose(Ds,t,Jg),t}getWorldScale(t){return this.updateWorldMatrix(!0,!1),this.matrixWorld.decompose(Ds,Kg,t),t}getWorldDirection(t){this.updateWorldMatrix(!0,!1);let e=this.matrixWorld.elements;return t.set(e[8],e[9],e[10]).normalize()}raycast(){}intersectsFrustum(){return!0}traverse(t){t(this);let e=this.children;for(let i=0,s=e.length;i<s;i++)e[i].traverse(t)}traverseVisible(t){if(this.visible===!1)return;t(this);let e=this.children;for(let i=0,s=e.length;i<s;i++)e[i].traverseVisible(t)}traverseAncestors(t){let e=this.parent;e!==null&&(t(e),e.traverseAncestors(t))}updateMatrix(){this.matrix.compose(this.position,this.quaternion,this.scale);let t=this.pivot;if(t!==null){let e=t.x,i=t.y,s=t.z,r=this.matrix.elements;r[12]+=e-r[0]*e-r[4]*i-r[8]*s,r[13]+=i-r[1]*e-r[5]*i-r[9]*s,r[14]+=s-r[2]*e-r[6]*i-r[10]*s}this.matrixWorldNeedsUpdate=!0}updateMatrixWorld(t){this.matrixAutoUpdate&&this.updateMatrix(),(this.matrixWorldNeedsUpdate||t)&&(this.matrixWorldAutoUpdate===!0&&(this.parent===null?this.matrixWorld.copy(this.matrix):this.matrixWorld.multiplyMatrices(this.parent.matrixWorld,this.matrix)),this.matrixWorldNeedsUpdate=!1,t=!0);let e=this.children;for(let i=0,s=e.length;i<s;i++)e[i].updateMatrixWorld(t)}updateWorldMatrix(t,e,i=!1){let s=this.parent;if(t===!0&&s!==null&&s.updateWorldMatrix(!0,!1),this.matrixAutoUpdate&&this.updateMatrix(),(this.matrixWorldNeedsUpdate||i)&&(this.matrixWorldAutoUpdate===!0&&(this.parent===null?this.matrixWorld.copy(this.matrix):this.matrixWorld.multiplyMatrices(this.parent.matrixWorld,this.matrix)),this.matrixWorldNeedsUpdate=!1,i=!0),e===!0){let r=this.children;for(let o=0,a=r.length;o<a;o++)r[o].updateWorldMatrix(!1,!0,i)}}toJSON(t){let e=t===void 0||typeof t=="string",i={};e&&(t={geometries:{},materials:{},textures:{},images:{},shapes:{},skeletons:{},animations:{},nodes:{}},i.metadata={version:4.7,type:"Object",generator:"Object3D.toJSON"});let s={};s.uuid=this.uuid,s.type=this.type,s.name=this.name,s.castShadow=this.castShadow,s.receiveShadow=this.receiveShadow,s.visible=this.visible,s.frustumCulled=this.frustumCulled,s.renderOrder=this.renderOrder,s.static=this.static,s.matrixAutoUpdate=this.matrixAutoUpdate,Object.keys(this.userData).length>0&&(s.userData=this.userData),s.layers=this.layers.mask,s.matrix=this.matrix.toArray(),s.up=this.up.toArray(),this.pivot!==null&&(s.pivot=this.pivot.toArray()),this.morphTargetDictionary!==void 0&&(s.morphTargetDictionary=Object.assign({},this.morphTargetDictionary)),this.morphTargetInfluences!==void 0&&(s.morphTargetInfluences=this.morphTargetInfluences.slice()),this.isInstancedMesh&&(s.type="InstancedMesh",s.count=this.count,s.instanceMatrix=this.instanceMatrix.toJSON(),this.instanceColor!==null&&(s.instanceColor=this.instanceColor.toJSON())),this.isBatchedMesh&&(s.type="BatchedMesh",s.perObjectFrustumCulled=this.perObjectFrustumCulled,s.sortObjects=this.sortObjects,s.drawRanges=this._drawRanges,s.reservedRanges=this._reservedRanges,s.geometryInfo=this._geometryInfo.map(a=>({...a,boundingBox:a.boundingBox?a.boundingBox.toJSON():void 0,boundingSphere:a.boundingSphere?a.boundingSphere.toJSON():void 0})),s.instanceInfo=this._instanceInfo.map(a=>({...a})),s.availableInstanceIds=this._availableInstanceIds.slice(),s.availableGeometryIds=this._availableGeometryIds.slice(),s.nextIndexStart=this._nextIndexStart,s.nextVertexStart=this._nextVertexStart,s.geometryCount=this._geometryCount,s.maxInstanceCount=this._maxInstanceCount,s.maxVertexCount=this._maxVertexCount,s.maxIndexCount=this._maxIndexCount,s.geometryInitialized=this._geometryInitialized,s.matricesTexture=this._matricesTexture.toJSON(t),s.indirectTexture=this._indirectTexture.toJSON(t),this._colorsTexture!==null&&(s.colorsTexture=this._colorsTexture.toJSON(t)),this.boundingSphere!==null&&(s.boundingSphere=this.boundingSphere.toJSON()),this.boundingBox!==null&&(s.boundingBox=this.boundingBox.toJSON()));function r(a,l){return a[l.uuid]===void 0&&(a[l.uuid]=l.toJSON(t)),l.uuid}if(this.isScene)this.background&&(this.background.isColor?s.background=this.background.toJSON():this.background.isTexture&&(s.background=this.background.toJSON(t).uuid)),this.environment&&this.environment.isTexture&&this.environment.isRenderTargetTexture!==!0&&(s.environment=this.environment.toJSON(t).uuid);else if(this.isMesh||this.isLine||this.isPoints){s.geometry=r(t.geometries,this.geometry);let a=this.geometry.parameters;if(a!==void 0&&a.shapes!==void 0){let l=a.shapes;if(Array.isArray(l))for(let c=0,h=l.length;c<h;c++){let d=l[c];r(t.shapes,d)}else r(t.shapes,l)}}if(this.isSkinnedMesh&&(s.bindMode=this.bindMode,s.bindMatrix=this.bindMatrix.toArray(),this.skeleton!==void 0&&(r(t.skeletons,this.skeleton),s.skeleton=this.skeleton.uuid)),this.material!==void 0)if(Array.isArray(this.material)){let a=[];for(let l=0,c=this.material.length;l<c;l++)a.push(r(t.materials,this.material[l]));s.material=a}else s.material=r(t.materials,this.material);if(this.children.length>0){s.children=[];for(let a=0;a<this.children.length;a++)s.children.push(this.children[a].toJSON(t).object)}if(this.animations.length>0){s.animations=[];for(let a=0;a<this.animations.length;a++){let l=this.animations[a];s.animations.push(r(t.animations,l))}}if(e){let a=o(t.geometries),l=o(t.materials),c=o(t.textures),h=o(t.images),d=o(t.shapes),u=o(t.skeletons),f=o(t.animations),g=o(t.nodes);a.length>0&&(i.geometries=a),l.length>0&&(i.materials=l),c.length>0&&(i.textures=c),h.length>0&&(i.images=h),d.length>0&&(i.shapes=d),u.length>0&&(i.skeletons=u),f.length>0&&(i.animations=f),g.length>0&&(i.nodes=g)}return i.object=s,i;function o(a){let l=[];for(let c in a){let h=a[c];delete h.metadata,l.push(h)}return l}}clone(t){return new this.constructor().copy(this,t)}copy(t,e=!0){if(this.name=t.name,this.up.copy(t.up),this.position.copy(t.position),this.rotation.order=t.rotation.order,this.quaternion.copy(t.quaternion),this.scale.copy(t.scale),this.pivot=t.pivot!==null?t.pivot.clone():null,this.matrix.copy(t.matrix),this.matrixWorld.copy(t.matrixWorld),this.matrixAutoUpdate=t.matrixAutoUpdate,this.matrixWorldAutoUpdate=t.matrixWorldAutoUpdate,this.matrixWorldNeedsUpdate=t.matrixWorldNeedsUpdate,this.layers.mask=t.layers.mask,this.visible=t.visible,this.castShadow=t.castShadow,this.receiveShadow=t.receiveShadow,this.frustumCulled=t.frustumCulled,this.renderOrder=t.renderOrder,this.static=t.static,this.animations=t.animations.slice(),this.userData=JSON.parse(JSON.stringify(t.userData)),e===!0)for(let i=0;i<t.children.length;i++){let s=t.children[i];this.add(s.clone())}return this}dispose(){this.dispatchEvent({type:"dispose"})}};pn.DEFAULT_UP=new z(0,1,0);pn.DEFAULT_MATRIX_AUTO_UPDATE=!0;pn.DEFAULT_MATRIX_WORLD_AUTO_UPDATE=!0;var Sn=class extends pn{constructor(){super(),this.isGroup=!0,this.type="Group"}},Qg={type:"move"},os=class{constructor(){this._targetRay=null,this._grip=null,this._hand=null}getHandSpace(){return this._hand===null&&(this._hand=new Sn,this._hand.matrixAutoUpdate=!1,this._hand.visible=!1,this._hand.joints={},this._hand.inputState={pinching:!1}),this._hand}getTargetRaySpace(){return this._targetRay===null&&(this._targetRay=new Sn,this._targetRay.matrixAutoUpdate=!1,this._targetRay.visible=!1,this._targetRay.hasLinearVelocity=!1,this._targetRay.linearVelocity=new z,this._targetRay.hasAngularVelocity=!1,this._targetRay.angularVelocity=new z),this._targetRay}getGripSpace(){return this._grip===null&&(this._grip=new Sn,this._grip.matrixAutoUpdate=!1,this._grip.visible=!1,this._grip.hasLinearVelocity=!1,this._grip.linearVelocity=new z,this._grip.hasAngularVelocity=!1,this._grip.angularVelocity=new z,this._grip.eventsEnabled=!1),this._grip}dispatchEvent(t){return this._targetRay!==null&&this._targetRay.dispatchEvent(t),this._grip!==null&&this._grip.dispatchEvent(t),this._hand!==null&&this._hand.dispatchEvent(t),this}connect(t){if(t&&t.hand){let e=this._hand;if(e)for(let i of t.hand.values())this._getHandJoint(e,i)}return this.dispatchEvent({type:"connected",data:t}),this}disconnect(t){return this.dispatchEvent({type:"disconnected",data:t}),this._targetRay!==null&&(this._targetRay.visible=!1),this._grip!==null&&(this._grip.visible=!1),this._hand!==null&&(this._hand.visible=!1),this}update(t,e,i){let s=null,r=null,o=null,a=this._targetRay,l=this._grip,c=this._hand;if(t&&e.session.visibilityState!=="visible-blurred"){if(c&&t.hand){o=!0;for(let M of t.hand.values()){let p=e.getJointPose(M,i),m=this._getHandJoint(c,M);p!==null&&(m.matrix.fromArray(p.transform.matrix),m.matrix.decompose(m.position,m.quaternion,m.scale),m.matrixWorldNeedsUpdate=!0,m.jointRadius=p.radius),m.visible=p!==null}let h=c.joints["index-finger-tip"],d=c.joints["thumb-tip"],u=h.position.distanceTo(d.position),f=.02,g=.005;c.inputState.pinching&&u>f+g?(c.inputState.pinching=!1,this.dispatchEvent({type:"pinchend",handedness:t.handedness,target:this})):!c.inputState.pinching&&u<=f-g&&(c.inputState.pinching=!0,this.dispatchEvent({type:"pinchstart",handedness:t.handedness,target:this}))}else l!==null&&t.gripSpace&&(r=e.getPose(t.gripSpace,i),r!==null&&(l.matrix.fromArray(r.transform.matrix),l.matrix.decompose(l.position,l.quaternion,l.scale),l.matrixWorldNeedsUpdate=!0,r.linearVelocity?(l.hasLinearVelocity=!0,l.linearVelocity.copy(r.linearVelocity)):l.hasLinearVelocity=!1,r.angularVelocity?(l.hasAngularVelocity=!0,l.angularVelocity.copy(r.angularVelocity)):l.hasAngularVelocity=!1,l.eventsEnabled&&l.dispatchEvent({type:"gripUpdated",data:t,target:this})));a!==null&&(s=e.getPose(t.targetRaySpace,i),s===null&&r!==null&&(s=r),s!==null&&(a.matrix.fromArray(s.transform.matrix),a.matrix.decompose(a.position,a.quaternion,a.scale),a.matrixWorldNeedsUpdate=!0,s.linearVelocity?(a.hasLinearVelocity=!0,a.linearVelocity.copy(s.linearVelocity)):a.hasLinearVelocity=!1,s.angularVelocity?(a.hasAngularVelocity=!0,a.angularVelocity.copy(s.angularVelocity)):a.hasAngularVelocity=!1,this.dispatchEvent(Qg)))}return a!==null&&(a.visible=s!==null),l!==null&&(l.visible=r!==null),c!==null&&(c.visible=o!==null),this}_getHandJoint(t,e){if(t.joints[e.jointName]===void 0){let i=new Sn;i.matrixAutoUpdate=!1,i.visible=!1,t.joints[e.jointName]=i,t.add(i)}return t.joints[e.jointName]}},ad={aliceblue:15792383,antiquewhite:16444375,aqua:65535,aquamarine:8388564,azure:15794175,beige:16119260,bisque:16770244,black:0,blanchedalmond:16772045,blue:255,blueviolet:9055202,brown:10824234,burlywood:14596231,cadetblue:6266528,chartreuse:8388352,chocolate:13789470,coral:16744272,cornflowerblue:6591981,cornsilk:16775388,crimson:14423100,cyan:65535,darkblue:139,darkcyan:35723,darkgoldenrod:12092939,darkgray:11119017,darkgreen:25600,darkgrey:11119017,darkkhaki:12433259,darkmagenta:9109643,darkolivegreen:5597999,darkorange:16747520,darkorchid:10040012,darkred:9109504,darksalmon:15308410,darkseagreen:9419919,darkslateblue:4734347,darkslategray:3100495,darkslategrey:3100495,darkturquoise:52945,darkviolet:9699539,deeppink:16716947,deepskyblue:49151,dimgray:6908265,dimgrey:6908265,dodgerblue:2003199,firebrick:11674146,floralwhite:16775920,forestgreen:2263842,fuchsia:16711935,gainsboro:14474460,ghostwhite:16316671,gold:16766720,goldenrod:14329120,gray:8421504,green:32768,greenyellow:11403055,grey:8421504,honeydew:15794160,hotpink:16738740,indianred:13458524,indigo:4915330,ivory:16777200,khaki:15787660,lavender:15132410,lavenderblush:16773365,lawngreen:8190976,lemonchiffon:16775885,lightblue:11393254,lightcoral:15761536,lightcyan:14745599,lightgoldenrodyellow:16448210,lightgray:13882323,lightgreen:9498256,lightgrey:13882323,lightpink:16758465,lightsalmon:16752762,lightseagreen:2142890,lightskyblue:8900346,lightslategray:7833753,lightslategrey:7833753,lightsteelblue:11584734,lightyellow:16777184,lime:65280,limegreen:3329330,linen:16445670,magenta:16711935,maroon:8388608,mediumaquamarine:6737322,mediumblue:205,mediumorchid:12211667,mediumpurple:9662683,mediumseagreen:3978097,mediumslateblue:8087790,mediumspringgreen:64154,mediumturquoise:4772300,mediumvioletred:13047173,midnightblue:1644912,mintcream:16121850,mistyrose:16770273,moccasin:16770229,navajowhite:16768685,navy:128,oldlace:16643558,olive:8421376,olivedrab:7048739,orange:16753920,orangered:16729344,orchid:14315734,palegoldenrod:15657130,palegreen:10025880,paleturquoise:11529966,palevioletred:14381203,papayawhip:16773077,peachpuff:16767673,peru:13468991,pink:16761035,plum:14524637,powderblue:11591910,purple:8388736,rebeccapurple:6697881,red:16711680,rosybrown:12357519,royalblue:4286945,saddlebrown:9127187,salmon:16416882,sandybrown:16032864,seagreen:3050327,seashell:16774638,sienna:10506797,silver:12632256,skyblue:8900331,slateblue:6970061,slategray:7372944,slategrey:7372944,snow:16775930,springgreen:65407,steelblue:4620980,tan:13808780,teal:32896,thistle:14204888,tomato:16737095,turquoise:4251856,violet:15631086,wheat:16113331,white:16777215,whitesmoke:16119285,yellow:16776960,yellowgreen:10145074},ri={h:0,s:0,l:0},kr={h:0,s:0,l:0};function gl(n,t,e){return e<0&&(e+=1),e>1&&(e-=1),e<1/6?n+(t-n)*6*e:e<1/2?t:e<2/3?n+(t-n)*6*(2/3-e):n}var Yt=class{constructor(t,e,i){return this.isColor=!0,this.r=1,this.g=1,this.b=1,this.set(t,e,i)}set(t,e,i){if(e===void 0&&i===void 0){let s=t;s&&s.isColor?this.copy(s):typeof s=="number"?this.setHex(s):typeof s=="string"&&this.setStyle(s)}else this.setRGB(t,e,i);return this}setScalar(t){return this.r=t,this.g=t,this.b=t,this}setHex(t,e=Je){return t=Math.floor(t),this.r=(t>>16&255)/255,this.g=(t>>8&255)/255,this.b=(t&255)/255,zt.colorSpaceToWorking(this,e),this}setRGB(t,e,i,s=zt.workingColorSpace){return this.r=t,this.g=e,this.b=i,zt.colorSpaceToWorking(this,s),this}setHSL(t,e,i,s=zt.workingColorSpace){if(t=Hg(t,1),e=Wt(e,0,1),i=Wt(i,0,1),e===0)this.r=this.g=this.b=i;else{let r=i<=.5?i*(1+e):i+e-i*e,o=2*i-r;this.r=gl(o,r,t+1/3),this.g=gl(o,r,t),this.b=gl(o,r,t-1/3)}return zt.colorSpaceToWorking(this,s),this}setStyle(t,e=Je){function i(r){r!==void 0&&parseFloat(r)<1&&It("Color: Alpha component of "+t+" will be ignored.")}let s;if(s=/^(\w+)\(([^\)]*)\)/.exec(t)){let r,o=s[1],a=s[2];switch(o){case"rgb":case"rgba":if(r=/^\s*(\d+)\s*,\s*(\d+)\s*,\s*(\d+)\s*(?:,\s*(\d+(?:\.\d+)?|\.\d+)\s*)?$/.exec(a))return i(r[4]),this.setRGB(Math.min(255,parseInt(r[1],10))/255,Math.min(255,parseInt(r[2],10))/255,Math.min(255,parseInt(r[3],10))/255,e);if(r=/^\s*(\d+(?:\.\d+)?|\.\d+)\%\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*(?:,\s*(\d+(?:\.\d+)?|\.\d+)\s*)?$/.exec(a))return i(r[4]),this.setRGB(Math.min(100,parseFloat(r[1]))/100,Math.min(100,parseFloat(r[2]))/100,Math.min(100,parseFloat(r[3]))/100,e);break;case"hsl":case"hsla":if(r=/^\s*([+-]?(?:\d+(?:\.\d+)?|\.\d+))\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*,\s*(\d+(?:\.\d+)?|\.\d+)\%\s*(?:,\s*(\d+(?:\.\d+)?|\.\d+)\s*)?$/.exec(a))return i(r[4]),this.setHSL(parseFloat(r[1])/360,parseFloat(r[2])/100,parseFloat(r[3])/100,e);break;default:It("Color: Unknown color model "+t)}}else if(s=/^\#([A-Fa-f\d]+)$/.exec(t)){let r=s[1],o=r.length;if(o===3)return this.setRGB(parseInt(r.charAt(0),16)/15,parseInt(r.charAt(1),16)/15,parseInt(r.charAt(2),16)/15,e);if(o===6)return this.setHex(parseInt(r,16),e);It("Color: Invalid hex color "+t)}else if(t&&t.length>0)return this.setColorName(t,e);return this}setColorName(t,e=Je){let i=ad[t.toLowerCase()];return i!==void 0?this.setHex(i,e):It("Color: Unknown color "+t),this}clone(){return new this.constructor(this.r,this.g,this.b)}copy(t){return this.r=t.r,this.g=t.g,this.b=t.b,this}copySRGBToLinear(t){return this.r=$n(t.r),this.g=$n(t.g),this.b=$n(t.b),this}copyLinearToSRGB(t){return this.r=ns(t.r),this.g=ns(t.g),this.b=ns(t.b),this}convertSRGBToLinear(){return this.copySRGBToLinear(this),this}convertLinearToSRGB(){return this.copyLinearToSRGB(this),this}getHex(t=Je){return zt.workingToColorSpace(Ue.copy(this),t),Math.round(Wt(Ue.r*255,0,255))*65536+Math.round(Wt(Ue.g*255,0,255))*256+Math.round(Wt(Ue.b*255,0,255))}getHexString(t=Je){return("000000"+this.getHex(t).toString(16)).slice(-6)}getHSL(t,e=zt.workingColorSpace){zt.workingToColorSpace(Ue.copy(this),e);let i=Ue.r,s=Ue.g,r=Ue.b,o=Math.max(i,s,r),a=Math.min(i,s,r),l,c,h=(a+o)/2;if(a===o)l=0,c=0;else{let d=o-a;switch(c=h<=.5?d/(o+a):d/(2-o-a),o){case i:l=(s-r)/d+(s<r?6:0);break;case s:l=(r-i)/d+2;break;case r:l=(i-s)/d+4;break}l/=6}return t.h=l,t.s=c,t.l=h,t}getRGB(t,e=zt.workingColorSpace){return zt.workingToColorSpace(Ue.copy(this),e),t.r=Ue.r,t.g=Ue.g,t.b=Ue.b,t}getStyle(t=Je){zt.workingToColorSpace(Ue.copy(this),t);let e=Ue.r,i=Ue.g,s=Ue.b;return t!==Je?`color(${t} ${e.toFixed(3)} ${i.toFixed(3)} ${s.toFixed(3)})`:`rgb(${Math.round(e*255)},${Math.round(i*255)},${Math.round(s*255)})`}offsetHSL(t,e,i){return this.getHSL(ri),this.setHSL(ri.h+t,ri.s+e,ri.l+i)}add(t){return this.r+=t.r,this.g+=t.g,this.b+=t.b,this}addColors(t,e){return this.r=t.r+e.r,this.g=t.g+e.g,this.b=t.b+e.b,this}addScalar(t){return this.r+=t,this.g+=t,this.b+=t,this}sub(t){return this.r=Math.max(0,this.r-t.r),this.g=Math.max(0,this.g-t.g),this.b=Math.max(0,this.b-t.b),this}multiply(t){return this.r*=t.r,this.g*=t.g,this.b*=t.b,this}multiplyScalar(t){return this.r*=t,this.g*=t,this.b*=t,this}lerp(t,e){return this.r+=(t.r-this.r)*e,this.g+=(t.g-this.g)*e,this.b+=(t.b-this.b)*e,this}lerpColors(t,e,i){return this.r=t.r+(e.r-t.r)*i,this.g=t.g+(e.g-t.g)*i,this.b=t.b+(e.b-t.b)*i,this}lerpHSL(t,e){this.getHSL(ri),t.getHSL(kr);let i=hl(ri.h,kr.h,e),s=hl(ri.s,kr.s,e),r=hl(ri.l,kr.l,e);return this.setHSL(i,s,r),this}setFromVector3(t){return this.r=t.x,this.g=t.y,this.b=t.z,this}applyMatrix3(t){let e=this.r,i=this.g,s=this.b,r=t.elements;return this.r=r[0]*e+r[3]*i+r[6]*s,this.g=r[1]*e+r[4]*i+r[7]*s,this.b=r[2]*e+r[5]*i+r[8]*s,this}equals(t){return t.r===this.r&&t.g===this.g&&t.b===this.b}fromArray(t,e=0){return this.r=t[e],this.g=t[e+1],this.b=t[e+2],this}toArray(t=[],e=0){return t[e]=this.r,t[e+1]=this.g,t[e+2]=this.b,t}fromBufferAttribute(t,e){return this.r=t.getX(e),this.g=t.getY(e),this.b=t.getZ(e),this}toJSON(){return this.getHex()}*[Symbol.iterator](){yield this.r,yield this.g,yield this.b}},Ue=new Yt;Yt.NAMES=ad;var qs=class extends pn{constructor(){super(),this.isScene=!0,this.type="Scene",this.background=null,this.environment=null,this.fog=null,this.backgroundBlurriness=0,this.backgroundIntensity=1,this.backgroundRotation=new hi,this.environmentIntensity=1,this.environmentRotation=new hi,this.overrideMaterial=null,typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("observe",{detail:this}))}copy(t,e){return super.copy(t,e),this.background=t.background!==null?t.background.clone():null,this.environment=t.environment!==null?t.environment.clone():null,this.fog=t.fog!==null?t.fog.clone():null,this.backgroundBlurriness=t.backgroundBlurriness,this.backgroundIntensity=t.backgroundIntensity,this.backgroundRotation.copy(t.backgroundRotation),this.environmentIntensity=t.environmentIntensity,this.environmentRotation.copy(t.environmentRotation),this.overrideMaterial=t.overrideMaterial!==null?t.overrideMaterial.clone():null,this.matrixAutoUpdate=t.matrixAutoUpdate,this}toJSON(t){let e=super.toJSON(t);return this.fog!==null&&(e.object.fog=this.fog.toJSON()),e.object.backgroundBlurriness=this.backgroundBlurriness,e.object.backgroundIntensity=this.backgroundIntensity,e.object.backgroundRotation=this.backgroundRotation.toArray(),e.object.environmentIntensity=this.environmentIntensity,e.object.environmentRotation=this.environmentRotation.toArray(),e}},vn=new z,Hn=new z,_l=new z,Wn=new z,$i=new z,Yi=new z,uu=new z,xl=new z,vl=new z,yl=new z,Ml=new se,Sl=new se,bl=new se,ci=class n{constructor(t=new z,e=new z,i=new z){this.a=t,this.b=e,this.c=i}static getNormal(t,e,i,s){s.subVectors(i,e),vn.subVectors(t,e),s.cross(vn);let r=s.lengthSq();return r>0?s.multiplyScalar(1/Math.sqrt(r)):s.set(0,0,0)}static getBarycoord(t,e,i,s,r){vn.subVectors(s,e),Hn.subVectors(i,e),_l.subVectors(t,e);let o=vn.dot(vn),a=vn.dot(Hn),l=vn.dot(_l),c=Hn.dot(Hn),h=Hn.dot(_l),d=o*c-a*a;if(d===0)return r.set(0,0,0),null;let u=1/d,f=(c*l-a*h)*u,g=(o*h-a*l)*u;return r.set(1-f-g,g,f)}static containsPoint(t,e,i,s){return this.getBarycoord(t,e,i,s,Wn)===null?!1:Wn.x>=0&&Wn.y>=0&&Wn.x+Wn.y<=1}static getInterpolation(t,e,i,s,r,o,a,l){return this.getBarycoord(t,e,i,s,Wn)===null?(l.x=0,l.y=0,"z"in l&&(l.z=0),"w"in l&&(l.w=0),null):(l.setScalar(0),l.addScaledVector(r,Wn.x),l.addScaledVector(o,Wn.y),l.addScaledVector(a,Wn.z),l)}static getInterpolatedAttribute(t,e,i,s,r,o){return Ml.setScalar(0),Sl.setScalar(0),bl.setScalar(0),Ml.fromBufferAttribute(t,e),Sl.fromBufferAttribute(t,i),bl.fromBufferAttribute(t,s),o.setScalar(0),o.addScaledVector(Ml,r.x),o.addScaledVector(Sl,r.y),o.addScaledVector(bl,r.z),o}static isFrontFacing(t,e,i,s){return vn.subVectors(i,e),Hn.subVectors(t,e),vn.cross(Hn).dot(s)<0}set(t,e,i){return this.a.copy(t),this.b.copy(e),this.c.copy(i),this}setFromPointsAndIndices(t,e,i,s){return this.a.copy(t[e]),this.b.copy(t[i]),this.c.copy(t[s]),this}setFromAttributeAndIndices(t,e,i,s){return this.a.fromBufferAttribute(t,e),this.b.fromBufferAttribute(t,i),this.c.fromBufferAttribute(t,s),this}clone(){return new this.constructor().copy(this)}copy(t){return this.a.copy(t.a),this.b.copy(t.b),this.c.copy(t.c),this}getArea(){return vn.subVectors(this.c,this.b),Hn.subVectors(this.a,this.b),vn.cross(Hn).length()*.5}getMidpoint(t){return t.addVectors(this.a,this.b).add(this.c).multiplyScalar(1/3)}getNormal(t){return n.getNormal(this.a,this.b,this.c,t)}getPlane(t){return t.setFromCoplanarPoints(this.a,this.b,this.c)}getBarycoord(t,e){return n.getBarycoord(t,this.a,this.b,this.c,e)}getInterpolation(t,e,i,s,r){return n.getInterpolation(t,this.a,this.b,this.c,e,i,s,r)}containsPoint(t){return n.containsPoint(t,this.a,this.b,this.c)}isFrontFacing(t){return n.isFrontFacing(this.a,this.b,this.c,t)}intersectsBox(t){return t.intersectsTriangle(this)}closestPointToPoint(t,e){let i=this.a,s=this.b,r=this.c,o,a;$i.subVectors(s,i),Yi.subVectors(r,i),xl.subVectors(t,i);let l=$i.dot(xl),c=Yi.dot(xl);if(l<=0&&c<=0)return e.copy(i);vl.subVectors(t,s);let h=$i.dot(vl),d=Yi.dot(vl);if(h>=0&&d<=h)return e.copy(s);let u=l*d-h*c;if(u<=0&&l>=0&&h<=0&&l-h>0)return o=l/(l-h),e.copy(i).addScaledVector($i,o);yl.subVectors(t,r);let f=$i.dot(yl),g=Yi.dot(yl);if(g>=0&&f<=g)return e.copy(r);let M=f*c-l*g;if(M<=0&&c>=0&&g<=0)return a=c/(c-g),e.copy(i).addScaledVector(Yi,a);let p=h*g-f*d;if(p<=0&&d-h>=0&&f-g>=0)return uu.subVectors(r,s),a=(d-h)/(d-h+(f-g)),e.copy(s).addScaledVector(uu,a);let m=1/(p+M+u);return o=M*m,a=u*m,e.copy(i).addScaledVector($i,o).addScaledVector(Yi,a)}equals(t){return t.a.equals(this.a)&&t.b.equals(this.b)&&t.c.equals(this.c)}},ui=class{constructor(t=new z(1/0,1/0,1/0),e=new z(-1/0,-1/0,-1/0)){this.isBox3=!0,this.min=t,this.max=e}set(t,e){return this.min.copy(t),this.max.copy(e),this}setFromArray(t){this.makeEmpty();for(let e=0,i=t.length;e<i;e+=3)this.expandByPoint(yn.fromArray(t,e));return this}setFromBufferAttribute(t){this.makeEmpty();for(let e=0,i=t.count;e<i;e++)this.expandByPoint(yn.fromBufferAttribute(t,e));return this}setFromPoints(t){this.makeEmpty();for(let e=0,i=t.length;e<i;e++)this.expandByPoint(t[e]);return this}setFromCenterAndSize(t,e){let i=yn.copy(e).multiplyScalar(.5);return this.min.copy(t).sub(i),this.max.copy(t).add(i),this}setFromObject(t,e=!1){return this.makeEmpty(),this.expandByObject(t,e)}clone(){return new this.constructor().copy(this)}copy(t){return this.min.copy(t.min),this.max.copy(t.max),this}makeEmpty(){return this.min.x=this.min.y=this.min.z=1/0,this.max.x=this.max.y=this.max.z=-1/0,this}isEmpty(){return this.max.x<this.min.x||this.max.y<this.min.y||this.max.z<this.min.z}getCenter(t){return this.isEmpty()?t.set(0,0,0):t.addVectors(this.min,this.max).multiplyScalar(.5)}getSize(t){return this.isEmpty()?t.set(0,0,0):t.subVectors(this.max,this.min)}expandByPoint(t){return this.min.min(t),this.max.max(t),this}expandByVector(t){return this.min.sub(t),this.max.add(t),this}expandByScalar(t){return this.min.addScalar(-t),this.max.addScalar(t),this}expandByObject(t,e=!1){t.updateWorldMatrix(!1,!1);let i=t.geometry;if(i!==void 0){let r=i.getAttribute("position");if(e===!0&&r!==void 0&&t.isInstancedMesh!==!0&&t.isBatchedMesh!==!0)for(let o=0,a=r.count;o<a;o++)t.isMesh===!0?t.getVertexPosition(o,yn):yn.fromBufferAttribute(r,o),yn.applyMatrix4(t.matrixWorld),this.expandByPoint(yn);else t.boundingBox!==void 0?(t.boundingBox===null&&t.computeBoundingBox(),zr.copy(t.boundingBox)):(i.boundingBox===null&&i.computeBoundingBox(),zr.copy(i.boundingBox)),zr.applyMatrix4(t.matrixWorld),this.union(zr)}let s=t.children;for(let r=0,o=s.length;r<o;r++)this.expandByObject(s[r],e);return this}containsPoint(t){return t.x>=this.min.x&&t.x<=this.max.x&&t.y>=this.min.y&&t.y<=this.max.y&&t.z>=this.min.z&&t.z<=this.max.z}containsBox(t){return this.min.x<=t.min.x&&t.max.x<=this.max.x&&this.min.y<=t.min.y&&t.max.y<=this.max.y&&this.min.z<=t.min.z&&t.max.z<=this.max.z}getParameter(t,e){return e.set((t.x-this.min.x)/(this.max.x-this.min.x),(t.y-this.min.y)/(this.max.y-this.min.y),(t.z-this.min.z)/(this.max.z-this.min.z))}intersectsBox(t){return t.max.x>=this.min.x&&t.min.x<=this.max.x&&t.max.y>=this.min.y&&t.min.y<=this.max.y&&t.max.z>=this.min.z&&t.min.z<=this.max.z}intersectsSphere(t){return this.clampPoint(t.center,yn),yn.distanceToSquared(t.center)<=t.radius*t.radius}intersectsPlane(t){let e,i;return t.normal.x>0?(e=t.normal.x*this.min.x,i=t.normal.x*this.max.x):(e=t.normal.x*this.max.x,i=t.normal.x*this.min.x),t.normal.y>0?(e+=t.normal.y*this.min.y,i+=t.normal.y*this.max.y):(e+=t.normal.y*this.max.y,i+=t.normal.y*this.min.y),t.normal.z>0?(e+=t.normal.z*this.min.z,i+=t.normal.z*this.max.z):(e+=t.normal.z*this.max.z,i+=t.normal.z*this.min.z),e<=-t.constant&&i>=-t.constant}intersectsTriangle(t){if(this.isEmpty())return!1;this.getCenter(Us),Gr.subVectors(this.max,Us),Zi.subVectors(t.a,Us),Ji.subVectors(t.b,Us),Ki.subVectors(t.c,Us),oi.subVectors(Ji,Zi),ai.subVectors(Ki,Ji),wi.subVectors(Zi,Ki);let e=[0,-oi.z,oi.y,0,-ai.z,ai.y,0,-wi.z,wi.y,oi.z,0,-oi.x,ai.z,0,-ai.x,wi.z,0,-wi.x,-oi.y,oi.x,0,-ai.y,ai.x,0,-wi.y,wi.x,0];return!wl(e,Zi,Ji,Ki,Gr)||(e=[1,0,0,0,1,0,0,0,1],!wl(e,Zi,Ji,Ki,Gr))?!1:(Vr.crossVectors(oi,ai),e=[Vr.x,Vr.y,Vr.z],wl(e,Zi,Ji,Ki,Gr))}clampPoint(t,e){return e.copy(t).clamp(this.min,this.max)}distanceToPoint(t){return this.clampPoint(t,yn).distanceTo(t)}getBoundingSphere(t){return this.isEmpty()?t.makeEmpty():(this.getCenter(t.center),t.radius=this.getSize(yn).length()*.5),t}intersect(t){return this.min.max(t.min),this.max.min(t.max),this.isEmpty()&&this.makeEmpty(),this}union(t){return this.min.min(t.min),this.max.max(t.max),this}applyMatrix4(t){return this.isEmpty()?this:(Xn[0].set(this.min.x,this.min.y,this.min.z).applyMatrix4(t),Xn[1].set(this.min.x,this.min.y,this.max.z).applyMatrix4(t),Xn[2].set(this.min.x,this.max.y,this.min.z).applyMatrix4(t),Xn[3].set(this.min.x,this.max.y,this.max.z).applyMatrix4(t),Xn[4].set(this.max.x,this.min.y,this.min.z).applyMatrix4(t),Xn[5].set(this.max.x,this.min.y,this.max.z).applyMatrix4(t),Xn[6].set(this.max.x,this.max.y,this.min.z).applyMatrix4(t),Xn[7].set(this.max.x,this.max.y,this.max.z).applyMatrix4(t),this.setFromPoints(Xn),this)}translate(t){return this.min.add(t),this.max.add(t),this}equals(t){return t.min.equals(this.min)&&t.max.equals(this.max)}toJSON(){return{min:this.min.toArray(),max:this.max.toArray()}}fromJSON(t){return this.min.fromArray(t.min),this.max.fromArray(t.max),this}},Xn=[new z,new z,new z,new z,new z,new z,new z,new z],yn=new z,zr=new ui,Zi=new z,Ji=new z,Ki=new z,oi=new z,ai=new z,wi=new z,Us=new z,Gr=new z,Vr=new z,Ti=new z;function wl(n,t,e,i,s){for(let r=0,o=n.length-3;r<=o;r+=3){Ti.fromArray(n,r);let a=s.x*Math.abs(Ti.x)+s.y*Math.abs(Ti.y)+s.z*Math.abs(Ti.z),l=t.dot(Ti),c=e.dot(Ti),h=i.dot(Ti);if(Math.max(-Math.max(l,c,h),Math.min(l,c,h))>a)return!1}return!0}var xe=new z,Hr=new Xt,t0=0,de=class extends Pn{constructor(t,e,i=!1){if(super(),Array.isArray(t))throw new TypeError("THREE.BufferAttribute: array should be a Typed Array.");this.isBufferAttribute=!0,Object.defineProperty(this,"id",{value:t0++}),this.name="",this.array=t,this.itemSize=e,this.count=t!==void 0?t.length/e:0,this.normalized=i,this.usage=lc,this.updateRanges=[],this.gpuType=nn,this.version=0,this._normalizationScale=t!==void 0?Sa(t):void 0}onUploadCallback(){}set needsUpdate(t){t===!0&&this.version++}setUsage(t){return this.usage=t,this}addUpdateRange(t,e){this.updateRanges.push({start:t,count:e})}clearUpdateRanges(){this.updateRanges.length=0}copy(t){return this.name=t.name,this.array=new t.array.constructor(t.array),this.itemSize=t.itemSize,this.count=t.count,this.normalized=t.normalized,this.usage=t.usage,this.gpuType=t.gpuType,this._normalizationScale=t._normalizationScale,this}copyAt(t,e,i){t*=this.itemSize,i*=e.itemSize;for(let s=0,r=this.itemSize;s<r;s++)this.array[t+s]=e.array[i+s];return this}copyArray(t){return this.array.set(t),this}applyMatrix3(t){if(this.itemSize===2)for(let e=0,i=this.count;e<i;e++)Hr.fromBufferAttribute(this,e),Hr.applyMatrix3(t),this.setXY(e,Hr.x,Hr.y);else if(this.itemSize===3)for(let e=0,i=this.count;e<i;e++)xe.fromBufferAttribute(this,e),xe.applyMatrix3(t),this.setXYZ(e,xe.x,xe.y,xe.z);return this}applyMatrix4(t){for(let e=0,i=this.count;e<i;e++)xe.fromBufferAttribute(this,e),xe.applyMatrix4(t),this.setXYZ(e,xe.x,xe.y,xe.z);return this}applyNormalMatrix(t){for(let e=0,i=this.count;e<i;e++)xe.fromBufferAttribute(this,e),xe.applyNormalMatrix(t),this.setXYZ(e,xe.x,xe.y,xe.z);return this}transformDirection(t){for(let e=0,i=this.count;e<i;e++)xe.fromBufferAttribute(this,e),xe.transformDirection(t),this.setXYZ(e,xe.x,xe.y,xe.z);return this}set(t,e=0){return this.array.set(t,e),this}getComponent(t,e){let i=this.array[t*this.itemSize+e];return this.normalized&&(i=this._denormalize(i)),i}setComponent(t,e,i){return this.normalized&&(i=this._normalize(i)),this.array[t*this.itemSize+e]=i,this}getX(t){let e=this.array[t*this.itemSize];return this.normalized&&(e=this._denormalize(e)),e}setX(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize]=e,this}getY(t){let e=this.array[t*this.itemSize+1];return this.normalized&&(e=this._denormalize(e)),e}setY(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize+1]=e,this}getZ(t){let e=this.array[t*this.itemSize+2];return this.normalized&&(e=this._denormalize(e)),e}setZ(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize+2]=e,this}getW(t){let e=this.array[t*this.itemSize+3];return this.normalized&&(e=this._denormalize(e)),e}setW(t,e){return this.normalized&&(e=this._normalize(e)),this.array[t*this.itemSize+3]=e,this}setXY(t,e,i){return t*=this.itemSize,this.normalized&&(e=this._normalize(e),i=this._normalize(i)),this.array[t+0]=e,this.array[t+1]=i,this}setXYZ(t,e,i,s){return t*=this.itemSize,this.normalized&&(e=this._normalize(e),i=this._normalize(i),s=this._normalize(s)),this.array[t+0]=e,this.array[t+1]=i,this.array[t+2]=s,this}setXYZW(t,e,i,s,r){return t*=this.itemSize,this.normalized&&(e=this._normalize(e),i=this._normalize(i),s=this._normalize(s),r=this._normalize(r)),this.array[t+0]=e,this.array[t+1]=i,this.array[t+2]=s,this.array[t+3]=r,this}onUpload(t){return this.onUploadCallback=t,this}clone(){return new this.constructor(this.array,this.itemSize).copy(this)}toJSON(){let t={itemSize:this.itemSize,type:this.array.constructor.name,array:Array.from(this.array),normalized:this.normalized};return t.name=this.name,t.usage=this.usage,t.gpuType=this.gpuType,t}dispose(){this.dispatchEvent({type:"dispose"})}_denormalize(t){let e=this._normalizationScale;return e!==void 0?Math.max(t/e,-1):rd(t,this.array)}_normalize(t){let e=this._normalizationScale;return e!==void 0?Math.round(t*e):od(t,this.array)}};var $s=class extends de{constructor(t,e,i){super(new Uint16Array(t),e,i)}};var Ys=class extends de{constructor(t,e,i){super(new Uint32Array(t),e,i)}};var fn=class extends de{constructor(t,e,i){super(new Float32Array(t),e,i)}},e0=new ui,Os=new z,Tl=new z,mn=class{constructor(t=new z,e=-1){this.isSphere=!0,this.center=t,this.radius=e}set(t,e){return this.center.copy(t),this.radius=e,this}setFromPoints(t,e){let i=this.center;e!==void 0?i.copy(e):e0.setFromPoints(t).getCenter(i);let s=0;for(let r=0,o=t.length;r<o;r++)s=Math.max(s,i.distanceToSquared(t[r]));return this.radius=Math.sqrt(s),this}copy(t){return this.center.copy(t.center),this.radius=t.radius,this}isEmpty(){return this.radius<0}makeEmpty(){return this.center.set(0,0,0),this.radius=-1,this}containsPoint(t){return t.distanceToSquared(this.center)<=this.radius*this.radius}distanceToPoint(t){return t.distanceTo(this.center)-this.radius}intersectsSphere(t){let e=this.radius+t.radius;return t.center.distanceToSquared(this.center)<=e*e}intersectsBox(t){return t.intersectsSphere(this)}intersectsPlane(t){return Math.abs(t.distanceToPoint(this.center))<=this.radius}clampPoint(t,e){let i=this.center.distanceToSquared(t);return e.copy(t),i>this.radius*this.radius&&(e.sub(this.center).normalize(),e.multiplyScalar(this.radius).add(this.center)),e}getBoundingBox(t){return this.isEmpty()?(t.makeEmpty(),t):(t.set(this.center,this.center),t.expandByScalar(this.radius),t)}applyMatrix4(t){return this.center.applyMatrix4(t),this.radius=this.radius*t.getMaxScaleOnAxis(),this}translate(t){return this.center.add(t),this}expandByPoint(t){if(this.isEmpty())return this.center.copy(t),this.radius=0,this;Os.subVectors(t,this.center);let e=Os.lengthSq();if(e>this.radius*this.radius){let i=Math.sqrt(e),s=(i-this.radius)*.5;this.center.addScaledVector(Os,s/i),this.radius+=s}return this}union(t){return t.isEmpty()?this:this.isEmpty()?(this.copy(t),this):(this.center.equals(t.center)===!0?this.radius=Math.max(this.radius,t.radius):(Tl.subVectors(t.center,this.center).setLength(t.radius),this.expandByPoint(Os.copy(t.center).add(Tl)),this.expandByPoint(Os.copy(t.center).sub(Tl))),this)}equals(t){return t.center.equals(this.center)&&t.radius===this.radius}clone(){return new this.constructor().copy(this)}toJSON(){return{radius:this.radius,center:this.center.toArray()}}fromJSON(t){return this.radius=t.radius,this.center.fromArray(t.center),this}},n0=0,un=new fe,Al=new pn,ji=new z,Ze=new ui,Fs=new ui,Ee=new z,Xe=class n extends Pn{constructor(){super(),this.isBufferGeometry=!0,Object.defineProperty(this,"id",{value:n0++}),this.uuid=Fi(),this.name="",this.type="BufferGeometry",this.index=null,this.indirect=null,this.indirectOffset=0,this.attributes={},this.morphAttributes={},this.morphTargetsRelative=!1,this.groups=[],this.boundingBox=null,this.boundingSphere=null,this.drawRange={start:0,count:1/0},this.userData={},this._transformed=!1}getIndex(){return this.index}setIndex(t){return Array.isArray(t)?this.index=new(Gg(t)?Ys:$s)(t,1):this.index=t,this}setIndirect(t,e=0){return this.indirect=t,this.indirectOffset=e,this}getIndirect(){return this.indirect}getAttribute(t){return this.attributes[t]}setAttribute(t,e){return this.attributes[t]=e,this}deleteAttribute(t){return delete this.attributes[t],this}hasAttribute(t){return this.attributes[t]!==void 0}addGroup(t,e,i=0){this.groups.push({start:t,count:e,materialIndex:i})}clearGroups(){this.groups=[]}setDrawRange(t,e){this.drawRange.start=t,this.drawRange.count=e}applyMatrix4(t){let e=this.attributes.position;e!==void 0&&(e.applyMatrix4(t),e.needsUpdate=!0);let i=this.attributes.normal;if(i!==void 0){let r=new Lt().getNormalMatrix(t);i.applyNormalMatrix(r),i.needsUpdate=!0}let s=this.attributes.tangent;return s!==void 0&&(s.transformDirection(t),s.needsUpdate=!0),this.boundingBox!==null&&this.computeBoundingBox(),this.boundingSphere!==null&&this.computeBoundingSphere(),this._transformed=!0,this}applyQuaternion(t){return un.makeRotationFromQuaternion(t),this.applyMatrix4(un),this}rotateX(t){return un.makeRotationX(t),this.applyMatrix4(un),this}rotateY(t){return un.makeRotationY(t),this.applyMatrix4(un),this}rotateZ(t){return un.makeRotationZ(t),this.applyMatrix4(un),this}translate(t,e,i){return un.makeTranslation(t,e,i),this.applyMatrix4(un),this}scale(t,e,i){return un.makeScale(t,e,i),this.applyMatrix4(un),this}lookAt(t){return Al.lookAt(t),Al.updateMatrix(),this.applyMatrix4(Al.matrix),this}center(){return this.computeBoundingBox(),this.boundingBox.getCenter(ji).negate(),this.translate(ji.x,ji.y,ji.z),this}setFromPoints(t){let e=this.getAttribute("position");if(e===void 0){let i=[];for(let s=0,r=t.length;s<r;s++){let o=t[s];i.push(o.x,o.y,o.z||0)}this.setAttribute("position",new fn(i,3))}else{let i=Math.min(t.length,e.count);for(let s=0;s<i;s++){let r=t[s];e.setXYZ(s,r.x,r.y,r.z||0)}t.length>e.count&&It("BufferGeometry: Buffer size too small for points data. Use .dispose() and create a new geometry."),e.needsUpdate=!0}return this}computeBoundingBox(){this.boundingBox===null&&(this.boundingBox=new ui);let t=this.attributes.position,e=this.morphAttributes.position;if(t&&t.isGLBufferAttribute){Pt("BufferGeometry.computeBoundingBox(): GLBufferAttribute requires a manual bounding box.",this),this.boundingBox.set(new z(-1/0,-1/0,-1/0),new z(1/0,1/0,1/0));return}if(t!==void 0){if(this.boundingBox.setFromBufferAttribute(t),e)for(let i=0,s=e.length;i<s;i++){let r=e[i];Ze.setFromBufferAttribute(r),this.morphTargetsRelative?(Ee.addVectors(this.boundingBox.min,Ze.min),this.boundingBox.expandByPoint(Ee),Ee.addVectors(this.boundingBox.max,Ze.max),this.boundingBox.expandByPoint(Ee)):(this.boundingBox.expandByPoint(Ze.min),this.boundingBox.expandByPoint(Ze.max))}}else this.boundingBox.makeEmpty();(isNaN(this.boundingBox.min.x)||isNaN(this.boundingBox.min.y)||isNaN(this.boundingBox.min.z))&&Pt('BufferGeometry.computeBoundingBox(): Computed min/max have NaN values. The "position" attribute is likely to have NaN values.',this)}computeBoundingSphere(){this.boundingSphere===null&&(this.boundingSphere=new mn);let t=this.attributes.position,e=this.morphAttributes.position;if(t&&t.isGLBufferAttribute){Pt("BufferGeometry.computeBoundingSphere(): GLBufferAttribute requires a manual bounding sphere.",this),this.boundingSphere.set(new z,1/0);return}if(t){let i=this.boundingSphere.center;if(Ze.setFromBufferAttribute(t),e)for(let r=0,o=e.length;r<o;r++){let a=e[r];Fs.setFromBufferAttribute(a),this.morphTargetsRelative?(Ee.addVectors(Ze.min,Fs.min),Ze.expandByPoint(Ee),Ee.addVectors(Ze.max,Fs.max),Ze.expandByPoint(Ee)):(Ze.expandByPoint(Fs.min),Ze.expandByPoint(Fs.max))}Ze.getCenter(i);let s=0;for(let r=0,o=t.count;r<o;r++)Ee.fromBufferAttribute(t,r),s=Math.max(s,i.distanceToSquared(Ee));if(e)for(let r=0,o=e.length;r<o;r++){let a=e[r],l=this.morphTargetsRelative;for(let c=0,h=a.count;c<h;c++)Ee.fromBufferAttribute(a,c),l&&(ji.fromBufferAttribute(t,c),Ee.add(ji)),s=Math.max(s,i.distanceToSquared(Ee))}this.boundingSphere.radius=Math.sqrt(s),isNaN(this.boundingSphere.radius)&&Pt('BufferGeometry.computeBoundingSphere(): Computed radius is NaN. The "position" attribute is likely to have NaN values.',this)}}computeTangents(){let t=this.index,e=this.attributes;if(t===null||e.position===void 0||e.normal===void 0||e.uv===void 0){Pt("BufferGeometry: .computeTangents() failed. Missing required attributes (index, position, normal or uv)");return}let i=e.position,s=e.normal,r=e.uv,o=this.getAttribute("tangent");(o===void 0||o.count!==i.count)&&(o=new de(new Float32Array(4*i.count),4),this.setAttribute("tangent",o));let a=[],l=[],c=new Uint8Array(i.count);for(let B=0;B<i.count;B++)a[B]=new z,l[B]=new z;let h=new z,d=new z,u=new z,f=new Xt,g=new Xt,M=new Xt,p=new z,m=new z;function S(B,L,D){c[B]=c[L]=c[D]=1,h.fromBufferAttribute(i,B),d.fromBufferAttribute(i,L),u.fromBufferAttribute(i,D),f.fromBufferAttribute(r,B),g.fromBufferAttribute(r,L),M.fromBufferAttribute(r,D),d.sub(h),u.sub(h),g.sub(f),M.sub(f);let G=1/(g.x*M.y-M.x*g.y);isFinite(G)&&(p.copy(d).multiplyScalar(M.y).addScaledVector(u,-g.y).multiplyScalar(G),m.copy(u).multiplyScalar(g.x).addScaledVector(d,-M.x).multiplyScalar(G),a[B].add(p),a[L].add(p),a[D].add(p),l[B].add(m),l[L].add(m),l[D].add(m))}let R=this.groups;R.length===0&&(R=[{start:0,count:t.count}]);for(let B=0,L=R.length;B<L;++B){let D=R[B],G=D.start,$=D.count;for(let P=G,X=G+$;P<X;P+=3)S(t.getX(P+0),t.getX(P+1),t.getX(P+2))}let T=new z,E=new z,A=new z,_=new z;function w(B){A.fromBufferAttribute(s,B),_.copy(A);let L=a[B];T.copy(L),T.sub(A.multiplyScalar(A.dot(L))).normalize(),E.crossVectors(_,L);let G=E.dot(l[B])<0?-1:1;o.setXYZW(B,T.x,T.y,T.z,G)}for(let B=0,L=i.count;B<L;++B)c[B]&&w(B);this._transformed=!0}computeVertexNormals(){let t=this.index,e=this.getAttribute("position");if(e!==void 0){let i=this.getAttribute("normal");if(i===void 0||i.count!==e.count)i=new de(new Float32Array(e.count*3),3),this.setAttribute("normal",i);else for(let u=0,f=i.count;u<f;u++)i.setXYZ(u,0,0,0);let s=new z,r=new z,o=new z,a=new z,l=new z,c=new z,h=new z,d=new z;if(t)for(let u=0,f=t.count;u<f;u+=3){let g=t.getX(u+0),M=t.getX(u+1),p=t.getX(u+2);s.fromBufferAttribute(e,g),r.fromBufferAttribute(e,M),o.fromBufferAttribute(e,p),h.subVectors(o,r),d.subVectors(s,r),h.cross(d),a.fromBufferAttribute(i,g),l.fromBufferAttribute(i,M),c.fromBufferAttribute(i,p),a.add(h),l.add(h),c.add(h),i.setXYZ(g,a.x,a.y,a.z),i.setXYZ(M,l.x,l.y,l.z),i.setXYZ(p,c.x,c.y,c.z)}else for(let u=0,f=e.count;u<f;u+=3)s.fromBufferAttribute(e,u+0),r.fromBufferAttribute(e,u+1),o.fromBufferAttribute(e,u+2),h.subVectors(o,r),d.subVectors(s,r),h.cross(d),i.setXYZ(u+0,h.x,h.y,h.z),i.setXYZ(u+1,h.x,h.y,h.z),i.setXYZ(u+2,h.x,h.y,h.z);this.normalizeNormals(),i.needsUpdate=!0}}normalizeNormals(){let t=this.attributes.normal;for(let e=0,i=t.count;e<i;e++)Ee.fromBufferAttribute(t,e),Ee.normalize(),t.setXYZ(e,Ee.x,Ee.y,Ee.z)}toNonIndexed(){function t(a,l){let c=a.array,h=a.itemSize,d=a.normalized,u=new c.constructor(l.length*h),f=0,g=0;for(let M=0,p=l.length;M<p;M++){a.isInterleavedBufferAttribute?f=l[M]*a.data.stride+a.offset:f=l[M]*h;for(let m=0;m<h;m++)u[g++]=c[f++]}return new de(u,h,d)}if(this.index===null)return It("BufferGeometry.toNonIndexed(): BufferGeometry is already non-indexed."),this;let e=new n,i=this.index.array,s=this.attributes;for(let a in s){let l=s[a],c=t(l,i);e.setAttribute(a,c)}let r=this.morphAttributes;for(let a in r){let l=[],c=r[a];for(let h=0,d=c.length;h<d;h++){let u=c[h],f=t(u,i);l.push(f)}e.morphAttributes[a]=l}e.morphTargetsRelative=this.morphTargetsRelative;let o=this.groups;for(let a=0,l=o.length;a<l;a++){let c=o[a];e.addGroup(c.start,c.count,c.materialIndex)}return e}toJSON(){let t={metadata:{version:4.7,type:"BufferGeometry",generator:"BufferGeometry.toJSON"}};if(t.uuid=this.uuid,t.type=this.parameters!==void 0&&this._transformed===!0?"BufferGeometry":this.type,t.name=this.name,Object.keys(this.userData).length>0&&(t.userData=this.userData),this.parameters!==void 0&&this._transformed!==!0){let l=this.parameters;for(let c in l)l[c]!==void 0&&(t[c]=l[c]);return t}t.data={attributes:{}};let e=this.index;e!==null&&(t.data.index={type:e.array.constructor.name,array:Array.prototype.slice.call(e.array)});let i=this.attributes;for(let l in i){let c=i[l];t.data.attributes[l]=c.toJSON(t.data)}let s={},r=!1;for(let l in this.morphAttributes){let c=this.morphAttributes[l],h=[];for(let d=0,u=c.length;d<u;d++){let f=c[d];h.push(f.toJSON(t.data))}h.length>0&&(s[l]=h,r=!0)}r&&(t.data.morphAttributes=s,t.data.morphTargetsRelative=this.morphTargetsRelative);let o=this.groups;o.length>0&&(t.data.groups=JSON.parse(JSON.stringify(o)));let a=this.boundingSphere;return a!==null&&(t.data.boundingSphere=a.toJSON()),t}clone(){return new this.constructor().copy(this)}copy(t){this.index=null,this.attributes={},this.morphAttributes={},this.groups=[],this.boundingBox=null,this.boundingSphere=null;let e={};this.name=t.name;let i=t.index;i!==null&&this.setIndex(i.clone());let s=t.attributes;for(let c in s){let h=s[c];this.setAttribute(c,h.clone(e))}let r=t.morphAttributes;for(let c in r){let h=[],d=r[c];for(let u=0,f=d.length;u<f;u++)h.push(d[u].clone(e));this.morphAttributes[c]=h}this.morphTargetsRelative=t.morphTargetsRelative;let o=t.groups;for(let c=0,h=o.length;c<h;c++){let d=o[c];this.addGroup(d.start,d.count,d.materialIndex)}let a=t.boundingBox;a!==null&&(this.boundingBox=a.clone());let l=t.boundingSphere;return l!==null&&(this.boundingSphere=l.clone()),this.drawRange.start=t.drawRange.start,this.drawRange.count=t.drawRange.count,this.userData=t.userData,this._transformed=t._transformed,this}dispose(){this.dispatchEvent({type:"dispose"})}},Zs=class{constructor(t,e){this.isInterleavedBuffer=!0,this.array=t,this.stride=e,this.count=t!==void 0?t.length/e:0,this.usage=lc,this.updateRanges=[],this.version=0,this.uuid=Fi()}onUploadCallback(){}set needsUpdate(t){t===!0&&this.version++}setUsage(t){return this.usage=t,this}addUpdateRange(t,e){this.updateRanges.push({start:t,count:e})}clearUpdateRanges(){this.updateRanges.length=0}copy(t){return this.array=new t.array.constructor(t.array),this.count=t.count,this.stride=t.stride,this.usage=t.usage,this}copyAt(t,e,i){t*=this.stride,i*=e.stride;for(let s=0,r=this.stride;s<r;s++)this.array[t+s]=e.array[i+s];return this}set(t,e=0){return this.array.set(t,e),this}clone(t){t.arrayBuffers===void 0&&(t.arrayBuffers={});let e=du(this.array);t.arrayBuffers[e]===void 0&&(t.arrayBuffers[e]=this.array.slice(0).buffer);let i=new this.array.constructor(t.arrayBuffers[e]),s=new this.constructor(i,this.stride);return s.setUsage(this.usage),s}onUpload(t){return this.onUploadCallback=t,this}toJSON(t){t.arrayBuffers===void 0&&(t.arrayBuffers={});let e=du(this.array);t.arrayBuffers[e]===void 0&&(t.arrayBuffers[e]=Array.from(new Uint32Array(this.array.slice(0).buffer)));let i={uuid:this.uuid,buffer:e,type:this.array.constructor.name,stride:this.stride};return i.usage=this.usage,i}};function du(n){return n.buffer._uuid===void 0&&(n.buffer._uuid=Fi()),n.byteOffset===0&&n.byteLength===n.buffer.byteLength?n.buffer._uuid:n.buffer._uuid+":"+n.byteOffset+":"+n.byteLength}var ke=new z,as=class n{constructor(t,e,i,s=!1){this.isInterleavedBufferAttribute=!0,this.name="",this.data=t,this.itemSize=e,this.offset=i,this.normalized=s,this._normalizationScale=t!==void 0?Sa(t.array):void 0}get count(){return this.data.count}get array(){return this.data.array}set needsUpdate(t){this.data.needsUpdate=t}applyMatrix4(t){for(let e=0,i=this.data.count;e<i;e++)ke.fromBufferAttribute(this,e),ke.applyMatrix4(t),this.setXYZ(e,ke.x,ke.y,ke.z);return this}applyNormalMatrix(t){for(let e=0,i=this.count;e<i;e++)ke.fromBufferAttribute(this,e),ke.applyNormalMatrix(t),this.setXYZ(e,ke.x,ke.y,ke.z);return this}transformDirection(t){for(let e=0,i=this.count;e<i;e++)ke.fromBufferAttribute(this,e),ke.transformDirection(t),this.setXYZ(e,ke.x,ke.y,ke.z);return this}getComponent(t,e){let i=this.array[t*this.data.stride+this.offset+e];return this.normalized&&(i=this._denormalize(i)),i}setComponent(t,e,i){return this.normalized&&(i=this._normalize(i)),this.data.array[t*this.data.stride+this.offset+e]=i,this}setX(t,e){return this.normalized&&(e=this._normalize(e)),this.data.array[t*this.data.stride+this.offset]=e,this}setY(t,e){return this.normalized&&(e=this._normalize(e)),this.data.array[t*this.data.stride+this.offset+1]=e,this}setZ(t,e){return this.normalized&&(e=this._normalize(e)),this.data.array[t*this.data.stride+this.offset+2]=e,this}setW(t,e){return this.normalized&&(e=this._normalize(e)),this.data.array[t*this.data.stride+this.offset+3]=e,this}getX(t){let e=this.data.array[t*this.data.stride+this.offset];return this.normalized&&(e=this._denormalize(e)),e}getY(t){let e=this.data.array[t*this.data.stride+this.offset+1];return this.normalized&&(e=this._denormalize(e)),e}getZ(t){let e=this.data.array[t*this.data.stride+this.offset+2];return this.normalized&&(e=this._denormalize(e)),e}getW(t){let e=this.data.array[t*this.data.stride+this.offset+3];return this.normalized&&(e=this._denormalize(e)),e}setXY(t,e,i){return t=t*this.data.stride+this.offset,this.normalized&&(e=this._normalize(e),i=this._normalize(i)),this.data.array[t+0]=e,this.data.array[t+1]=i,this}setXYZ(t,e,i,s){return t=t*this.data.stride+this.offset,this.normalized&&(e=this._normalize(e),i=this._normalize(i),s=this._normalize(s)),this.data.array[t+0]=e,this.data.array[t+1]=i,this.data.array[t+2]=s,this}setXYZW(t,e,i,s,r){return t=t*this.data.stride+this.offset,this.normalized&&(e=this._normalize(e),i=this._normalize(i),s=this._normalize(s),r=this._normalize(r)),this.data.array[t+0]=e,this.data.array[t+1]=i,this.data.array[t+2]=s,this.data.array[t+3]=r,this}clone(t){if(t===void 0){Hs("InterleavedBufferAttribute.clone(): Cloning an interleaved buffer attribute will de-interleave buffer data.");let e=[];for(let i=0;i<this.count;i++){let s=i*this.data.stride+this.offset;for(let r=0;r<this.itemSize;r++)e.push(this.data.array[s+r])}return new de(new this.array.constructor(e),this.itemSize,this.normalized)}else return t.interleavedBuffers===void 0&&(t.interleavedBuffers={}),t.interleavedBuffers[this.data.uuid]===void 0&&(t.interleavedBuffers[this.data.uuid]=this.data.clone(t)),new n(t.interleavedBuffers[this.data.uuid],this.itemSize,this.offset,this.normalized)}toJSON(t){if(t===void 0){Hs("InterleavedBufferAttribute.toJSON(): Serializing an interleaved buffer attribute will de-interleave buffer data.");let e=[];for(let i=0;i<this.count;i++){let s=i*this.data.stride+this.offset;for(let r=0;r<this.itemSize;r++)e.push(this.data.array[s+r])}return{itemSize:this.itemSize,type:this.array.constructor.name,array:e,normalized:this.normalized}}else return t.interleavedBuffers===void 0&&(t.interleavedBuffers={}),t.interleavedBuffers[this.data.uuid]===void 0&&(t.interleavedBuffers[this.data.uuid]=this.data.toJSON(t)),{isInterleavedBufferAttribute:!0,itemSize:this.itemSize,data:this.data.uuid,offset:this.offset,normalized:this.normalized}}_denormalize(t){let e=this._normalizationScale;return e!==void 0?Math.max(t/e,-1):rd(t,this.data.array)}_normalize(t){let e=this._normalizationScale;return e!==void 0?Math.round(t*e):od(t,this.data.array)}},El=new z,i0=new z,s0=new Lt,Mn=class{constructor(t=new z(1,0,0),e=0){this.isPlane=!0,this.normal=t,this.constant=e}set(t,e){return this.normal.copy(t),this.constant=e,this}setComponents(t,e,i,s){return this.normal.set(t,e,i),this.constant=s,this}setFromNormalAndCoplanarPoint(t,e){return this.normal.copy(t),this.constant=-e.dot(this.normal),this}setFromCoplanarPoints(t,e,i){let s=El.subVectors(i,e).cross(i0.subVectors(t,e)).normalize();return this.setFromNormalAndCoplanarPoint(s,t),this}copy(t){return this.normal.copy(t.normal),this.constant=t.constant,this}normalize(){let t=1/this.normal.length();return this.normal.multiplyScalar(t),this.constant*=t,this}negate(){return this.constant*=-1,this.normal.negate(),this}distanceToPoint(t){return this.normal.dot(t)+this.constant}distanceToSphere(t){return this.distanceToPoint(t.center)-t.radius}projectPoint(t,e){return e.copy(t).addScaledVector(this.normal,-this.distanceToPoint(t))}intersectLine(t,e,i=!0){let s=t.delta(El),r=this.normal.dot(s);if(r===0)return this.distanceToPoint(t.start)===0?e.copy(t.start):null;let o=-(t.start.dot(this.normal)+this.constant)/r;return i===!0&&(o<0||o>1)?null:e.copy(t.start).addScaledVector(s,o)}intersectsLine(t){let e=this.distanceToPoint(t.start),i=this.distanceToPoint(t.end);return e<0&&i>0||i<0&&e>0}intersectsBox(t){return t.intersectsPlane(this)}intersectsSphere(t){return t.intersectsPlane(this)}coplanarPoint(t){return t.copy(this.normal).multiplyScalar(-this.constant)}applyMatrix4(t,e){let i=e||s0.getNormalMatrix(t),s=this.coplanarPoint(El).applyMatrix4(t),r=this.normal.applyMatrix3(i).normalize();return this.constant=-s.dot(r),this}translate(t){return this.constant-=t.dot(this.normal),this}equals(t){return t.normal.equals(this.normal)&&t.constant===this.constant}clone(){return new this.constructor().copy(this)}toJSON(){return{normal:this.normal.toArray(),constant:this.constant}}fromJSON(t){return this.normal.fromArray(t.normal),this.constant=t.constant,this}},r0=0,Ci=class extends Pn{constructor(){super(),this.isMaterial=!0,Object.defineProperty(this,"id",{value:r0++}),this.uuid=Fi(),this.name="",this.type="Material",this.blending=ds,this.side=gn,this.vertexColors=!1,this.opacity=1,this.transparent=!1,this.alphaHash=!1,this.blendSrc=zl,this.blendDst=Gl,this.blendEquation=Ni,this.blendSrcAlpha=null,this.blendDstAlpha=null,this.blendEquationAlpha=null,this.blendColor=new Yt(0,0,0),this.blendAlpha=0,this.depthFunc=is,this.depthTest=!0,this.depthWrite=!0,this.stencilWriteMask=255,this.stencilFunc=Yu,this.stencilRef=0,this.stencilFuncMask=255,this.stencilFail=so,this.stencilZFail=so,this.stencilZPass=so,this.stencilWrite=!1,this.clippingPlanes=null,this.clipIntersection=!1,this.clipShadows=!1,this.shadowSide=null,this.colorWrite=!0,this.precision=null,this.polygonOffset=!1,this.polygonOffsetFactor=0,this.polygonOffsetUnits=0,this.dithering=!1,this.alphaToCoverage=!1,this.premultipliedAlpha=!1,this.forceSinglePass=!1,this.allowOverride=!0,this.visible=!0,this.toneMapped=!0,this.userData={},this.version=0,this._alphaTest=0}get alphaTest(){return this._alphaTest}set alphaTest(t){this._alphaTest>0!=t>0&&this.version++,this._alphaTest=t}onBeforeRender(){}onBeforeCompile(){}customProgramCacheKey(){return this.onBeforeCompile.toString()}setValues(t){if(t!==void 0)for(let e in t){let i=t[e];if(i===void 0){It(`Material: parameter '${e}' has value of undefined.`);continue}let s=this[e];if(s===void 0){It(`Material: '${e}' is not a property of THREE.${this.type}.`);continue}s&&s.isColor?s.set(i):s&&s.isVector2&&i&&i.isVector2||s&&s.isEuler&&i&&i.isEuler||s&&s.isVector3&&i&&i.isVector3?s.copy(i):this[e]=i}}toJSON(t){let e=t===void 0||typeof t=="string";e&&(t={textures:{},images:{}});let i={metadata:{version:4.7,type:"Material",generator:"Material.toJSON"}};i.uuid=this.uuid,i.type=this.type,i.blending=this.blending,i.side=this.side,i.shadowSide=this.shadowSide,i.vertexColors=this.vertexColors,i.opacity=this.opacity,i.transparent=this.transparent,i.blendSrc=this.blendSrc,i.blendDst=this.blendDst,i.blendEquation=this.blendEquation,i.blendSrcAlpha=this.blendSrcAlpha,i.blendDstAlpha=this.blendDstAlpha,i.blendEquationAlpha=this.blendEquationAlpha,i.blendColor=this.blendColor.getHex(),i.blendAlpha=this.blendAlpha,i.depthFunc=this.depthFunc,i.depthTest=this.depthTest,i.depthWrite=this.depthWrite,i.colorWrite=this.colorWrite,i.clipIntersection=this.clipIntersection,i.clipShadows=this.clipShadows,i.stencilWriteMask=this.stencilWriteMask,i.stencilFunc=this.stencilFunc,i.stencilRef=this.stencilRef,i.stencilFuncMask=this.stencilFuncMask,i.stencilFail=this.stencilFail,i.stencilZFail=this.stencilZFail,i.stencilZPass=this.stencilZPass,i.stencilWrite=this.stencilWrite,i.polygonOffset=this.polygonOffset,i.polygonOffsetFactor=this.polygonOffsetFactor,i.polygonOffsetUnits=this.polygonOffsetUnits,i.dithering=this.dithering,i.alphaTest=this.alphaTest,i.alphaHash=this.alphaHash,i.alphaToCoverage=this.alphaToCoverage,i.premultipliedAlpha=this.premultipliedAlpha,i.forceSinglePass=this.forceSinglePass,i.allowOverride=this.allowOverride,i.visible=this.visible,i.toneMapped=this.toneMapped,i.name=this.name,this.color&&this.color.isColor&&(i.color=this.color.getHex()),this.roughness!==void 0&&(i.roughness=this.roughness),this.metalness!==void 0&&(i.metalness=this.metalness),this.sheen!==void 0&&(i.sheen=this.sheen),this.sheenColor&&this.sheenColor.isColor&&(i.sheenColor=this.sheenColor.getHex()),this.sheenRoughness!==void 0&&(i.sheenRoughness=this.sheenRoughness),this.emissive&&this.emissive.isColor&&(i.emissive=this.emissive.getHex()),this.emissiveIntensity!==void 0&&(i.emissiveIntensity=this.emissiveIntensity),this.specular&&this.specular.isColor&&(i.specular=this.specular.getHex()),this.specularIntensity!==void 0&&(i.specularIntensity=this.specularIntensity),this.specularColor&&this.specularColor.isColor&&(i.specularColor=this.specularColor.getHex()),this.shininess!==void 0&&(i.shininess=this.shininess),this.clearcoat!==void 0&&(i.clearcoat=this.clearcoat),this.clearcoatRoughness!==void 0&&(i.clearcoatRoughness=this.clearcoatRoughness),this.diffuseRoughness!==void 0&&(i.diffuseRoughness=this.diffuseRoughness),this.diffuseRoughnessMap&&this.diffuseRoughnessMap.isTexture&&(i.diffuseRoughnessMap=this.diffuseRoughnessMap.toJSON(t).uuid),this.clearcoatMap&&this.clearcoatMap.isTexture&&(i.clearcoatMap=this.clearcoatMap.toJSON(t).uuid),this.clearcoatRoughnessMap&&this.clearcoatRoughnessMap.isTexture&&(i.clearcoatRoughnessMap=this.clearcoatRoughnessMap.toJSON(t).uuid),this.clearcoatNormalMap&&this.clearcoatNormalMap.isTexture&&(i.clearcoatNormalMap=this.clearcoatNormalMap.toJSON(t).uuid,i.clearcoatNormalScale=this.clearcoatNormalScale.toArray()),this.sheenColorMap&&this.sheenColorMap.isTexture&&(i.sheenColorMap=this.sheenColorMap.toJSON(t).uuid),this.sheenRoughnessMap&&this.sheenRoughnessMap.isTexture&&(i.sheenRoughnessMap=this.sheenRoughnessMap.toJSON(t).uuid),this.dispersion!==void 0&&(i.dispersion=this.dispersion),this.retroreflectivity!==void 0&&(i.retroreflectivity=this.retroreflectivity),this.iridescence!==void 0&&(i.iridescence=this.iridescence),this.iridescenceIOR!==void 0&&(i.iridescenceIOR=this.iridescenceIOR),this.iridescenceThicknessMinimum!==void 0&&(i.iridescenceThicknessMinimum=this.iridescenceThicknessMinimum),this.iridescenceThicknessMaximum!==void 0&&(i.iridescenceThicknessMaximum=this.iridescenceThicknessMaximum),this.iridescenceMap&&this.iridescenceMap.isTexture&&(i.iridescenceMap=this.iridescenceMap.toJSON(t).uuid),this.iridescenceThicknessMap&&this.iridescenceThicknessMap.isTexture&&(i.iridescenceThicknessMap=this.iridescenceThicknessMap.toJSON(t).uuid),this.anisotropy!==void 0&&(i.anisotropy=this.anisotropy),this.anisotropyRotation!==void 0&&(i.anisotropyRotation=this.anisotropyRotation),this.anisotropyMap&&this.anisotropyMap.isTexture&&(i.anisotropyMap=this.anisotropyMap.toJSON(t).uuid),this.map&&this.map.isTexture&&(i.map=this.map.toJSON(t).uuid),this.matcap&&this.matcap.isTexture&&(i.matcap=this.matcap.toJSON(t).uuid),this.alphaMap&&this.alphaMap.isTexture&&(i.alphaMap=this.alphaMap.toJSON(t).uuid),this.lightMap&&this.lightMap.isTexture&&(i.lightMap=this.lightMap.toJSON(t).uuid,i.lightMapIntensity=this.lightMapIntensity),this.aoMap&&this.aoMap.isTexture&&(i.aoMap=this.aoMap.toJSON(t).uuid,i.aoMapIntensity=this.aoMapIntensity),this.bumpMap&&this.bumpMap.isTexture&&(i.bumpMap=this.bumpMap.toJSON(t).uuid,i.bumpScale=this.bumpScale),this.normalMap&&this.normalMap.isTexture&&(i.normalMap=this.normalMap.toJSON(t).uuid,i.normalMapType=this.normalMapType,i.normalScale=this.normalScale.toArray()),this.displacementMap&&this.displacementMap.isTexture&&(i.displacementMap=this.displacementMap.toJSON(t).uuid,i.displacementScale=this.displacementScale,i.displacementBias=this.displacementBias),this.roughnessMap&&this.roughnessMap.isTexture&&(i.roughnessMap=this.roughnessMap.toJSON(t).uuid),this.metalnessMap&&this.metalnessMap.isTexture&&(i.metalnessMap=this.metalnessMap.toJSON(t).uuid),this.emissiveMap&&this.emissiveMap.isTexture&&(i.emissiveMap=this.emissiveMap.toJSON(t).uuid),this.specularMap&&this.specularMap.isTexture&&(i.specularMap=this.specularMap.toJSON(t).uuid),this.specularIntensityMap&&this.specularIntensityMap.isTexture&&(i.specularIntensityMap=this.specularIntensityMap.toJSON(t).uuid),this.specularColorMap&&this.specularColorMap.isTexture&&(i.specularColorMap=this.specularColorMap.toJSON(t).uuid),this.envMap&&this.envMap.isTexture&&(i.envMap=this.envMap.toJSON(t).uuid,this.combine!==void 0&&(i.combine=this.combine)),this.envMapRotation!==void 0&&(i.envMapRotation=this.envMapRotation.toArray()),this.envMapIntensity!==void 0&&(i.envMapIntensity=this.envMapIntensity),this.reflectivity!==void 0&&(i.reflectivity=this.reflectivity),this.refractionRatio!==void 0&&(i.refractionRatio=this.refractionRatio),this.gradientMap&&this.gradientMap.isTexture&&(i.gradientMap=this.gradientMap.toJSON(t).uuid),this.transmission!==void 0&&(i.transmission=this.transmission),this.transmissionMap&&this.transmissionMap.isTexture&&(i.transmissionMap=this.transmissionMap.toJSON(t).uuid),this.thickness!==void 0&&(i.thickness=this.thickness),this.thicknessMap&&this.thicknessMap.isTexture&&(i.thicknessMap=this.thicknessMap.toJSON(t).uuid),this.attenuationDistance!==void 0&&(i.attenuationDistance=this.attenuationDistance),this.attenuationColor!==void 0&&(i.attenuationColor=this.attenuationColor.getHex()),this.size!==void 0&&(i.size=this.size),this.sizeAttenuation!==void 0&&(i.sizeAttenuation=this.sizeAttenuation),Array.isArray(this.clippingPlanes)&&this.clippingPlanes.length>0&&(i.clippingPlanes=this.clippingPlanes.map(r=>r.toJSON())),this.rotation!==void 0&&(i.rotation=this.rotation),this.depthPacking!==void 0&&(i.depthPacking=this.depthPacking),this.linewidth!==void 0&&(i.linewidth=this.linewidth),this.linecap!==void 0&&(i.linecap=this.linecap),this.linejoin!==void 0&&(i.linejoin=this.linejoin),this.dashSize!==void 0&&(i.dashSize=this.dashSize),this.gapSize!==void 0&&(i.gapSize=this.gapSize),this.scale!==void 0&&(i.scale=this.scale),this.wireframe!==void 0&&(i.wireframe=this.wireframe),this.wireframeLinewidth!==void 0&&(i.wireframeLinewidth=this.wireframeLinewidth),this.wireframeLinecap!==void 0&&(i.wireframeLinecap=this.wireframeLinecap),this.wireframeLinejoin!==void 0&&(i.wireframeLinejoin=this.wireframeLinejoin),this.flatShading!==void 0&&(i.flatShading=this.flatShading),this.fog!==void 0&&(i.fog=this.fog),Object.keys(this.userData).length>0&&(i.userData=this.userData);function s(r){let o=[];for(let a in r){let l=r[a];delete l.metadata,o.push(l)}return o}if(e){let r=s(t.textures),o=s(t.images);r.length>0&&(i.textures=r),o.length>0&&(i.images=o)}return i}fromJSON(t,e){if(t.uuid!==void 0&&(this.uuid=t.uuid),t.name!==void 0&&(this.name=t.name),t.color!==void 0&&this.color!==void 0&&this.color.setHex(t.color),t.roughness!==void 0&&(this.roughness=t.roughness),t.metalness!==void 0&&(this.metalness=t.metalness),t.sheen!==void 0&&(this.sheen=t.sheen),t.sheenColor!==void 0&&(this.sheenColor=new Yt().setHex(t.sheenColor)),t.sheenRoughness!==void 0&&(this.sheenRoughness=t.sheenRoughness),t.emissive!==void 0&&this.emissive!==void 0&&this.emissive.setHex(t.emissive),t.specular!==void 0&&this.specular!==void 0&&this.specular.setHex(t.specular),t.specularIntensity!==void 0&&(this.specularIntensity=t.specularIntensity),t.specularColor!==void 0&&this.specularColor!==void 0&&this.specularColor.setHex(t.specularColor),t.shininess!==void 0&&(this.shininess=t.shininess),t.clearcoat!==void 0&&(this.clearcoat=t.clearcoat),t.clearcoatRoughness!==void 0&&(this.clearcoatRoughness=t.clearcoatRoughness),t.diffuseRoughness!==void 0&&(this.diffuseRoughness=t.diffuseRoughness),t.dispersion!==void 0&&(this.dispersion=t.dispersion),t.retroreflectivity!==void 0&&(this.retroreflectivity=t.retroreflectivity),t.iridescence!==void 0&&(this.iridescence=t.iridescence),t.iridescenceIOR!==void 0&&(this.iridescenceIOR=t.iridescenceIOR),t.iridescenceThicknessMinimum!==void 0&&(this.iridescenceThicknessMinimum=t.iridescenceThicknessMinimum),t.iridescenceThicknessMaximum!==void 0&&(this.iridescenceThicknessMaximum=t.iridescenceThicknessMaximum),t.iridescenceThicknessRange!==void 0&&(this.iridescenceThicknessMinimum=t.iridescenceThicknessRange[0],this.iridescenceThicknessMaximum=t.iridescenceThicknessRange[1]),t.transmission!==void 0&&(this.transmission=t.transmission),t.thickness!==void 0&&(this.thickness=t.thickness),t.attenuationDistance!==void 0&&(this.attenuationDistance=t.attenuationDistance),t.attenuationColor!==void 0&&this.attenuationColor!==void 0&&this.attenuationColor.setHex(t.attenuationColor),t.anisotropy!==void 0&&(this.anisotropy=t.anisotropy),t.anisotropyRotation!==void 0&&(this.anisotropyRotation=t.anisotropyRotation),t.fog!==void 0&&(this.fog=t.fog),t.flatShading!==void 0&&(this.flatShading=t.flatShading),t.blending!==void 0&&(this.blending=t.blending),t.combine!==void 0&&(this.combine=t.combine),t.side!==void 0&&(this.side=t.side),t.shadowSide!==void 0&&(this.shadowSide=t.shadowSide),t.opacity!==void 0&&(this.opacity=t.opacity),t.transparent!==void 0&&(this.transparent=t.transparent),t.alphaTest!==void 0&&(this.alphaTest=t.alphaTest),t.alphaHash!==void 0&&(this.alphaHash=t.alphaHash),t.depthFunc!==void 0&&(this.depthFunc=t.depthFunc),t.depthTest!==void 0&&(this.depthTest=t.depthTest),t.depthWrite!==void 0&&(this.depthWrite=t.depthWrite),t.colorWrite!==void 0&&(this.colorWrite=t.colorWrite),t.clippingPlanes!==void 0&&(this.clippingPlanes=t.clippingPlanes.map(i=>new Mn().fromJSON(i))),t.clipIntersection!==void 0&&(this.clipIntersection=t.clipIntersection),t.clipShadows!==void 0&&(this.clipShadows=t.clipShadows),t.depthPacking!==void 0&&(this.depthPacking=t.depthPacking),t.blendSrc!==void 0&&(this.blendSrc=t.blendSrc),t.blendDst!==void 0&&(this.blendDst=t.blendDst),t.blendEquation!==void 0&&(this.blendEquation=t.blendEquation),t.blendSrcAlpha!==void 0&&(this.blendSrcAlpha=t.blendSrcAlpha),t.blendDstAlpha!==void 0&&(this.blendDstAlpha=t.blendDstAlpha),t.blendEquationAlpha!==void 0&&(this.blendEquationAlpha=t.blendEquationAlpha),t.blendColor!==void 0&&this.blendColor!==void 0&&this.blendColor.setHex(t.blendColor),t.blendAlpha!==void 0&&(this.blendAlpha=t.blendAlpha),t.stencilWriteMask!==void 0&&(this.stencilWriteMask=t.stencilWriteMask),t.stencilFunc!==void 0&&(this.stencilFunc=t.stencilFunc),t.stencilRef!==void 0&&(this.stencilRef=t.stencilRef),t.stencilFuncMask!==void 0&&(this.stencilFuncMask=t.stencilFuncMask),t.stencilFail!==void 0&&(this.stencilFail=t.stencilFail),t.stencilZFail!==void 0&&(this.stencilZFail=t.stencilZFail),t.stencilZPass!==void 0&&(this.stencilZPass=t.stencilZPass),t.stencilWrite!==void 0&&(this.stencilWrite=t.stencilWrite),t.wireframe!==void 0&&(this.wireframe=t.wireframe),t.wireframeLinewidth!==void 0&&(this.wireframeLinewidth=t.wireframeLinewidth),t.wireframeLinecap!==void 0&&(this.wireframeLinecap=t.wireframeLinecap),t.wireframeLinejoin!==void 0&&(this.wireframeLinejoin=t.wireframeLinejoin),t.rotation!==void 0&&(this.rotation=t.rotation),t.linewidth!==void 0&&(this.linewidth=t.linewidth),t.linecap!==void 0&&(this.linecap=t.linecap),t.linejoin!==void 0&&(this.linejoin=t.linejoin),t.dashSize!==void 0&&(this.dashSize=t.dashSize),t.gapSize!==void 0&&(this.gapSize=t.gapSize),t.scale!==void 0&&(this.scale=t.scale),t.polygonOffset!==void 0&&(this.polygonOffset=t.polygonOffset),t.polygonOffsetFactor!==void 0&&(this.polygonOffsetFactor=t.polygonOffsetFactor),t.polygonOffsetUnits!==void 0&&(this.polygonOffsetUnits=t.polygonOffsetUnits),t.dithering!==void 0&&(this.dithering=t.dithering),t.alphaToCoverage!==void 0&&(this.alphaToCoverage=t.alphaToCoverage),t.premultipliedAlpha!==void 0&&(this.premultipliedAlpha=t.premultipliedAlpha),t.forceSinglePass!==void 0&&(this.forceSinglePass=t.forceSinglePass),t.allowOverride!==void 0&&(this.allowOverride=t.allowOverride),t.visible!==void 0&&(this.visible=t.visible),t.toneMapped!==void 0&&(this.toneMapped=t.toneMapped),t.userData!==void 0&&(this.userData=t.userData),t.vertexColors!==void 0&&(typeof t.vertexColors=="number"?this.vertexColors=t.vertexColors>0:this.vertexColors=t.vertexColors),t.size!==void 0&&(this.size=t.size),t.sizeAttenuation!==void 0&&(this.sizeAttenuation=t.sizeAttenuation),t.map!==void 0&&(this.map=e[t.map]||null),t.matcap!==void 0&&(this.matcap=e[t.matcap]||null),t.alphaMap!==void 0&&(this.alphaMap=e[t.alphaMap]||null),t.bumpMap!==void 0&&(this.bumpMap=e[t.bumpMap]||null),t.bumpScale!==void 0&&(this.bumpScale=t.bumpScale),t.normalMap!==void 0&&(this.normalMap=e[t.normalMap]||null),t.normalMapType!==void 0&&(this.normalMapType=t.normalMapType),t.normalScale!==void 0){let i=t.normalScale;Array.isArray(i)===!1&&(i=[i,i]),this.normalScale=new Xt().fromArray(i)}return t.displacementMap!==void 0&&(this.displacementMap=e[t.displacementMap]||null),t.displacementScale!==void 0&&(this.displacementScale=t.displacementScale),t.displacementBias!==void 0&&(this.displacementBias=t.displacementBias),t.roughnessMap!==void 0&&(this.roughnessMap=e[t.roughnessMap]||null),t.metalnessMap!==void 0&&(this.metalnessMap=e[t.metalnessMap]||null),t.emissiveMap!==void 0&&(this.emissiveMap=e[t.emissiveMap]||null),t.emissiveIntensity!==void 0&&(this.emissiveIntensity=t.emissiveIntensity),t.specularMap!==void 0&&(this.specularMap=e[t.specularMap]||null),t.specularIntensityMap!==void 0&&(this.specularIntensityMap=e[t.specularIntensityMap]||null),t.specularColorMap!==void 0&&(this.specularColorMap=e[t.specularColorMap]||null),t.envMap!==void 0&&(this.envMap=e[t.envMap]||null),t.envMapRotation!==void 0&&this.envMapRotation.fromArray(t.envMapRotation),t.envMapIntensity!==void 0&&(this.envMapIntensity=t.envMapIntensity),t.reflectivity!==void 0&&(this.reflectivity=t.reflectivity),t.refractionRatio!==void 0&&(this.refractionRatio=t.refractionRatio),t.lightMap!==void 0&&(this.lightMap=e[t.lightMap]||null),t.lightMapIntensity!==void 0&&(this.lightMapIntensity=t.lightMapIntensity),t.aoMap!==void 0&&(this.aoMap=e[t.aoMap]||null),t.aoMapIntensity!==void 0&&(this.aoMapIntensity=t.aoMapIntensity),t.gradientMap!==void 0&&(this.gradientMap=e[t.gradientMap]||null),t.clearcoatMap!==void 0&&(this.clearcoatMap=e[t.clearcoatMap]||null),t.clearcoatRoughnessMap!==void 0&&(this.clearcoatRoughnessMap=e[t.clearcoatRoughnessMap]||null),t.clearcoatNormalMap!==void 0&&(this.clearcoatNormalMap=e[t.clearcoatNormalMap]||null),t.clearcoatNormalScale!==void 0&&(this.clearcoatNormalScale=new Xt().fromArray(t.clearcoatNormalScale)),t.diffuseRoughnessMap!==void 0&&(this.diffuseRoughnessMap=e[t.diffuseRoughnessMap]||null),t.iridescenceMap!==void 0&&(this.iridescenceMap=e[t.iridescenceMap]||null),t.iridescenceThicknessMap!==void 0&&(this.iridescenceThicknessMap=e[t.iridescenceThicknessMap]||null),t.transmissionMap!==void 0&&(this.transmissionMap=e[t.transmissionMap]||null),t.thicknessMap!==void 0&&(this.thicknessMap=e[t.thicknessMap]||null),t.anisotropyMap!==void 0&&(this.anisotropyMap=e[t.anisotropyMap]||null),t.sheenColorMap!==void 0&&(this.sheenColorMap=e[t.sheenColorMap]||null),t.sheenRoughnessMap!==void 0&&(this.sheenRoughnessMap=e[t.sheenRoughnessMap]||null),this}clone(){return new this.constructor().copy(this)}copy(t){this.name=t.name,this.blending=t.blending,this.side=t.side,this.vertexColors=t.vertexColors,this.opacity=t.opacity,this.transparent=t.transparent,this.blendSrc=t.blendSrc,this.blendDst=t.blendDst,this.blendEquation=t.blendEquation,this.blendSrcAlpha=t.blendSrcAlpha,this.blendDstAlpha=t.blendDstAlpha,this.blendEquationAlpha=t.blendEquationAlpha,this.blendColor.copy(t.blendColor),this.blendAlpha=t.blendAlpha,this.depthFunc=t.depthFunc,this.depthTest=t.depthTest,this.depthWrite=t.depthWrite,this.stencilWriteMask=t.stencilWriteMask,this.stencilFunc=t.stencilFunc,this.stencilRef=t.stencilRef,this.stencilFuncMask=t.stencilFuncMask,this.stencilFail=t.stencilFail,this.stencilZFail=t.stencilZFail,this.stencilZPass=t.stencilZPass,this.stencilWrite=t.stencilWrite;let e=t.clippingPlanes,i=null;if(e!==null){let s=e.length;i=new Array(s);for(let r=0;r!==s;++r)i[r]=e[r].clone()}return this.clippingPlanes=i,this.clipIntersection=t.clipIntersection,this.clipShadows=t.clipShadows,this.shadowSide=t.shadowSide,this.colorWrite=t.colorWrite,this.precision=t.precision,this.polygonOffset=t.polygonOffset,this.polygonOffsetFactor=t.polygonOffsetFactor,this.polygonOffsetUnits=t.polygonOffsetUnits,this.dithering=t.dithering,this.alphaTest=t.alphaTest,this.alphaHash=t.alphaHash,this.alphaToCoverage=t.alphaToCoverage,this.premultipliedAlpha=t.premultipliedAlpha,this.forceSinglePass=t.forceSinglePass,this.allowOverride=t.allowOverride,this.visible=t.visible,this.toneMapped=t.toneMapped,this.userData=JSON.parse(JSON.stringify(t.userData)),this}dispose(){this.dispatchEvent({type:"dispose"})}set needsUpdate(t){t===!0&&this.version++}};var qn=new z,Rl=new z,Wr=new z,Xr=new z,yo=class{constructor(t=new z,e=new z(0,0,-1)){this.origin=t,this.direction=e}set(t,e){return this.origin.copy(t),this.direction.copy(e),this}copy(t){return this.origin.copy(t.origin),this.direction.copy(t.direction),this}at(t,e){return e.copy(this.origin).addScaledVector(this.direction,t)}lookAt(t){return this.direction.copy(t).sub(this.origin).normalize(),this}recast(t){return this.origin.copy(this.at(t,qn)),this}closestPointToPoint(t,e){e.subVectors(t,this.origin);let i=e.dot(this.direction);return i<0?e.copy(this.origin):e.copy(this.origin).addScaledVector(this.direction,i)}distanceToPoint(t){return Math.sqrt(this.distanceSqToPoint(t))}distanceSqToPoint(t){let e=qn.subVectors(t,this.origin).dot(this.direction);return e<0?this.origin.distanceToSquared(t):(qn.copy(this.origin).addScaledVector(this.direction,e),qn.distanceToSquared(t))}distanceSqToSegment(t,e,i,s){Rl.copy(t).add(e).multiplyScalar(.5),Wr.copy(e).sub(t).normalize(),Xr.copy(this.origin).sub(Rl);let r=t.distanceTo(e)*.5,o=-this.direction.dot(Wr),a=Xr.dot(this.direction),l=-Xr.dot(Wr),c=Xr.lengthSq(),h=Math.abs(1-o*o),d,u,f,g;if(h>0)if(d=o*l-a,u=o*a-l,g=r*h,d>=0)if(u>=-g)if(u<=g){let M=1/h;d*=M,u*=M,f=d*(d+o*u+2*a)+u*(o*d+u+2*l)+c}else u=r,d=Math.max(0,-(o*u+a)),f=-d*d+u*(u+2*l)+c;else u=-r,d=Math.max(0,-(o*u+a)),f=-d*d+u*(u+2*l)+c;else u<=-g?(d=Math.max(0,-(-o*r+a)),u=d>0?-r:Math.min(Math.max(-r,-l),r),f=-d*d+u*(u+2*l)+c):u<=g?(d=0,u=Math.min(Math.max(-r,-l),r),f=u*(u+2*l)+c):(d=Math.max(0,-(o*r+a)),u=d>0?r:Math.min(Math.max(-r,-l),r),f=-d*d+u*(u+2*l)+c);else u=o>0?-r:r,d=Math.max(0,-(o*u+a)),f=-d*d+u*(u+2*l)+c;return i&&i.copy(this.origin).addScaledVector(this.direction,d),s&&s.copy(Rl).addScaledVector(Wr,u),f}intersectSphere(t,e){if(t.radius<0)return null;qn.subVectors(t.center,this.origin);let i=qn.dot(this.direction),s=qn.dot(qn)-i*i,r=t.radius*t.radius;if(s>r)return null;let o=Math.sqrt(r-s),a=i-o,l=i+o;return l<0?null:a<0?this.at(l,e):this.at(a,e)}intersectsSphere(t){return t.radius<0?!1:this.distanceSqToPoint(t.center)<=t.radius*t.radius}distanceToPlane(t){let e=t.normal.dot(this.direction);if(e===0)return t.distanceToPoint(this.origin)===0?0:null;let i=-(this.origin.dot(t.normal)+t.constant)/e;return i>=0?i:null}intersectPlane(t,e){let i=this.distanceToPlane(t);return i===null?null:this.at(i,e)}intersectsPlane(t){let e=t.distanceToPoint(this.origin);return e===0||t.normal.dot(this.direction)*e<0}intersectBox(t,e){let i,s,r,o,a,l,c=1/this.direction.x,h=1/this.direction.y,d=1/this.direction.z,u=this.origin;return c>=0?(i=(t.min.x-u.x)*c,s=(t.max.x-u.x)*c):(i=(t.max.x-u.x)*c,s=(t.min.x-u.x)*c),h>=0?(r=(t.min.y-u.y)*h,o=(t.max.y-u.y)*h):(r=(t.max.y-u.y)*h,o=(t.min.y-u.y)*h),i>o||r>s||((r>i||isNaN(i))&&(i=r),(o<s||isNaN(s))&&(s=o),d>=0?(a=(t.min.z-u.z)*d,l=(t.max.z-u.z)*d):(a=(t.max.z-u.z)*d,l=(t.min.z-u.z)*d),i>l||a>s)||((a>i||i!==i)&&(i=a),(l<s||s!==s)&&(s=l),s<0)?null:this.at(i>=0?i:s,e)}intersectsBox(t){return this.intersectBox(t,qn)!==null}intersectTriangle(t,e,i,s,r){let o=this.origin,a=this.direction,l=a.x,c=a.y,h=a.z,d=t.x-o.x,u=t.y-o.y,f=t.z-o.z,g=e.x-o.x,M=e.y-o.y,p=e.z-o.z,m=i.x-o.x,S=i.y-o.y,R=i.z-o.z,T=Math.abs(l),E=Math.abs(c),A=Math.abs(h),_,w,B,L,D,G,$,P,X,K,V,nt;if(T>=E&&T>=A?(B=l,G=d,X=g,nt=m,l>=0?(_=c,w=h,L=u,D=f,$=M,P=p,K=S,V=R):(_=h,w=c,L=f,D=u,$=p,P=M,K=R,V=S)):E>=A?(B=c,G=u,X=M,nt=S,c>=0?(_=h,w=l,L=f,D=d,$=p,P=g,K=R,V=m):(_=l,w=h,L=d,D=f,$=g,P=p,K=m,V=R)):(B=h,G=f,X=p,nt=R,h>=0?(_=l,w=c,L=d,D=u,$=g,P=M,K=m,V=S):(_=c,w=l,L=u,D=d,$=M,P=g,K=S,V=m)),B===0)return null;let W=_/B,Q=w/B,tt=1/B,bt=L-W*G,Dt=D-Q*G,Z=$-W*X,mt=P-Q*X,yt=K-W*nt,Et=V-Q*nt,gt=yt*mt-Et*Z,Ot=bt*Et-Dt*yt,me=Z*Dt-mt*bt;if(s){if(gt<0||Ot<0||me<0)return null}else if((gt<0||Ot<0||me<0)&&(gt>0||Ot>0||me>0))return null;let Ct=gt+Ot+me;if(Ct===0)return null;let Kt=tt*(gt*G+Ot*X+me*nt);return(Ct>0?Kt<0:Kt>0)?null:this.at(Kt/Ct,r)}applyMatrix4(t){return this.origin.applyMatrix4(t),this.direction.transformDirection(t),this}equals(t){return t.origin.equals(this.origin)&&t.direction.equals(this.direction)}clone(){return new this.constructor().copy(this)}},Mo=class extends Ci{constructor(t){super(),this.isMeshBasicMaterial=!0,this.type="MeshBasicMaterial",this.color=new Yt(16777215),this.map=null,this.lightMap=null,this.lightMapIntensity=1,this.aoMap=null,this.aoMapIntensity=1,this.specularMap=null,this.alphaMap=null,this.envMap=null,this.envMapRotation=new hi,this.combine=Vl,this.reflectivity=1,this.refractionRatio=.98,this.wireframe=!1,this.wireframeLinewidth=1,this.wireframeLinecap="round",this.wireframeLinejoin="round",this.fog=!0,this.setValues(t)}copy(t){return super.copy(t),this.color.copy(t.color),this.map=t.map,this.lightMap=t.lightMap,this.lightMapIntensity=t.lightMapIntensity,this.aoMap=t.aoMap,this.aoMapIntensity=t.aoMapIntensity,this.specularMap=t.specularMap,this.alphaMap=t.alphaMap,this.envMap=t.envMap,this.envMapRotation.copy(t.envMapRotation),this.combine=t.combine,this.reflectivity=t.reflectivity,this.refractionRatio=t.refractionRatio,this.wireframe=t.wireframe,this.wireframeLinewidth=t.wireframeLinewidth,this.wireframeLinecap=t.wireframeLinecap,this.wireframeLinejoin=t.wireframeLinejoin,this.fog=t.fog,this}},fu=new fe,Ai=new yo,qr=new mn,pu=new z,$r=new z,Yr=new z,Zr=new z,Cl=new z,Jr=new z,mu=new z,Kr=new z,Oe=class extends pn{constructor(t=new Xe,e=new Mo){super(),this.isMesh=!0,this.type="Mesh",this.geometry=t,this.material=e,this.morphTargetDictionary=void 0,this.morphTargetInfluences=void 0,this.count=1,this.updateMorphTargets()}copy(t,e){return super.copy(t,e),t.morphTargetInfluences!==void 0?this.morphTargetInfluences=t.morphTargetInfluences.slice():this.morphTargetInfluences=void 0,t.morphTargetDictionary!==void 0?this.morphTargetDictionary=Object.assign({},t.morphTargetDictionary):this.morphTargetDictionary=void 0,this.material=Array.isArray(t.material)?t.material.slice():t.material,this.geometry=t.geometry,this}updateMorphTargets(){let e=this.geometry.morphAttributes,i=Object.keys(e);if(i.length>0){let s=e[i[0]];if(s!==void 0){this.morphTargetInfluences=[],this.morphTargetDictionary={};for(let r=0,o=s.length;r<o;r++){let a=s[r].name||String(r);this.morphTargetInfluences.push(0),this.morphTargetDictionary[a]=r}}}}getVertexPosition(t,e){let i=this.geometry,s=i.attributes.position,r=i.morphAttributes.position,o=i.morphTargetsRelative;e.fromBufferAttribute(s,t);let a=this.morphTargetInfluences;if(r&&a){Jr.set(0,0,0);for(let l=0,c=r.length;l<c;l++){let h=a[l],d=r[l];h!==0&&(Cl.fromBufferAttribute(d,t),o?Jr.addScaledVector(Cl,h):Jr.addScaledVector(Cl.sub(e),h))}e.add(Jr)}return e}intersectsFrustum(t){return t.intersectsObject(this)}raycast(t,e){let i=this.geometry,s=this.material,r=this.matrixWorld;s!==void 0&&(i.boundingSphere===null&&i.computeBoundingSphere(),qr.copy(i.boundingSphere),qr.applyMatrix4(r),Ai.copy(t.ray).recast(t.near),!(qr.containsPoint(Ai.origin)===!1&&(Ai.intersectSphere(qr,pu)===null||Ai.origin.distanceToSquared(pu)>(t.far-t.near)**2))&&(fu.copy(r).invert(),Ai.copy(t.ray).applyMatrix4(fu),!(i.boundingBox!==null&&Ai.intersectsBox(i.boundingBox)===!1)&&this._computeIntersections(t,e,Ai)))}_computeIntersections(t,e,i){let s,r=this.geometry,o=this.material,a=r.index,l=r.attributes.position,c=r.attributes.uv,h=r.attributes.uv1,d=r.attributes.normal,u=r.groups,f=r.drawRange;if(a!==null)if(Array.isArray(o))for(let g=0,M=u.length;g<M;g++){let p=u[g],m=o[p.materialIndex],S=Math.max(p.start,f.start),R=Math.min(a.count,Math.min(p.start+p.count,f.start+f.count));for(let T=S,E=R;T<E;T+=3){let A=a.getX(T),_=a.getX(T+1),w=a.getX(T+2);s=jr(this,m,t,i,c,h,d,A,_,w),s&&(s.faceIndex=Math.floor(T/3),s.face.materialIndex=p.materialIndex,e.push(s))}}else{let g=Math.max(0,f.start),M=Math.min(a.count,f.start+f.count);for(let p=g,m=M;p<m;p+=3){let S=a.getX(p),R=a.getX(p+1),T=a.getX(p+2);s=jr(this,o,t,i,c,h,d,S,R,T),s&&(s.faceIndex=Math.floor(p/3),e.push(s))}}else if(l!==void 0)if(Array.isArray(o))for(let g=0,M=u.length;g<M;g++){let p=u[g],m=o[p.materialIndex],S=Math.max(p.start,f.start),R=Math.min(l.count,Math.min(p.start+p.count,f.start+f.count));for(let T=S,E=R;T<E;T+=3){let A=T,_=T+1,w=T+2;s=jr(this,m,t,i,c,h,d,A,_,w),s&&(s.faceIndex=Math.floor(T/3),s.face.materialIndex=p.materialIndex,e.push(s))}}else{let g=Math.max(0,f.start),M=Math.min(l.count,f.start+f.count);for(let p=g,m=M;p<m;p+=3){let S=p,R=p+1,T=p+2;s=jr(this,o,t,i,c,h,d,S,R,T),s&&(s.faceIndex=Math.floor(p/3),e.push(s))}}}};function o0(n,t,e,i,s,r,o,a){let l;if(t.side===Ge?l=i.intersectTriangle(o,r,s,!0,a):l=i.intersectTriangle(s,r,o,t.side===gn,a),l===null)return null;Kr.copy(a),Kr.applyMatrix4(n.matrixWorld);let c=e.ray.origin.distanceTo(Kr);return c<e.near||c>e.far?null:{distance:c,point:Kr.clone(),object:n}}function jr(n,t,e,i,s,r,o,a,l,c){n.getVertexPosition(a,$r),n.getVertexPosition(l,Yr),n.getVertexPosition(c,Zr);let h=o0(n,t,e,i,$r,Yr,Zr,mu);if(h){let d=new z;ci.getBarycoord(mu,$r,Yr,Zr,d),s&&(h.uv=ci.getInterpolatedAttribute(s,a,l,c,d,new Xt)),r&&(h.uv1=ci.getInterpolatedAttribute(r,a,l,c,d,new Xt)),o&&(h.normal=ci.getInterpolatedAttribute(o,a,l,c,d,new z),h.normal.dot(i.direction)>0&&h.normal.multiplyScalar(-1));let u={a,b:l,c,normal:new z,materialIndex:0};ci.getNormal($r,Yr,Zr,u.normal),h.face=u,h.barycoord=d}return h}var ls=class extends We{constructor(t=null,e=1,i=1,s,r,o,a,l,c=pe,h=pe,d,u){super(null,o,a,l,c,h,s,r,d,u),this.isDataTexture=!0,this.image={data:t,width:e,height:i},this.generateMipmaps=!1,this.flipY=!1,this.unpackAlignment=1}};var Ei=new mn,a0=new Xt(.5,.5),Qr=new z,Ii=class{constructor(t=new Mn,e=new Mn,i=new Mn,s=new Mn,r=new Mn,o=new Mn){this.planes=[t,e,i,s,r,o]}set(t,e,i,s,r,o){let a=this.planes;return a[0].copy(t),a[1].copy(e),a[2].copy(i),a[3].copy(s),a[4].copy(r),a[5].copy(o),this}copy(t){let e=this.planes;for(let i=0;i<6;i++)e[i].copy(t.planes[i]);return this}setFromProjectionMatrix(t,e=dn,i=!1){let s=this.planes,r=t.elements,o=r[0],a=r[1],l=r[2],c=r[3],h=r[4],d=r[5],u=r[6],f=r[7],g=r[8],M=r[9],p=r[10],m=r[11],S=r[12],R=r[13],T=r[14],E=r[15];if(s[0].setComponents(c-o,f-h,m-g,E-S).normalize(),s[1].setComponents(c+o,f+h,m+g,E+S).normalize(),s[2].setComponents(c+a,f+d,m+M,E+R).normalize(),s[3].setComponents(c-a,f-d,m-M,E-R).normalize(),i)s[4].setComponents(l,u,p,T).normalize(),s[5].setComponents(c-l,f-u,m-p,E-T).normalize();else if(s[4].setComponents(c-l,f-u,m-p,E-T).normalize(),e===dn)s[5].setComponents(c+l,f+u,m+p,E+T).normalize();else if(e===Gs)s[5].setComponents(l,u,p,T).normalize();else throw new Error("THREE.Frustum.setFromProjectionMatrix(): Invalid coordinate system: "+e);return this}intersectsObject(t){if(t.boundingSphere!==void 0)t.boundingSphere===null&&t.computeBoundingSphere(),Ei.copy(t.boundingSphere).applyMatrix4(t.matrixWorld);else{let e=t.geometry;e.boundingSphere===null&&e.computeBoundingSphere(),Ei.copy(e.boundingSphere).applyMatrix4(t.matrixWorld)}return this.intersectsSphere(Ei)}intersectsSprite(t){Ei.center.set(0,0,0);let e=a0.distanceTo(t.center);return Ei.radius=.7071067811865476+e,Ei.applyMatrix4(t.matrixWorld),this.intersectsSphere(Ei)}intersectsSphere(t){let e=this.planes,i=t.center,s=-t.radius;for(let r=0;r<6;r++)if(e[r].distanceToPoint(i)<s)return!1;return!0}intersectsBox(t){let e=this.planes;for(let i=0;i<6;i++){let s=e[i];if(Qr.x=s.normal.x>0?t.max.x:t.min.x,Qr.y=s.normal.y>0?t.max.y:t.min.y,Qr.z=s.normal.z>0?t.max.z:t.min.z,s.distanceToPoint(Qr)<0)return!1}return!0}containsPoint(t){let e=this.planes;for(let i=0;i<6;i++)if(e[i].distanceToPoint(t)<0)return!1;return!0}clone(){return new this.constructor().copy(this)}},gu=new fe,So=class n{constructor(){this.coordinateSystem=dn,this._frustums=[],this._count=0}setFromArrayCamera(t){let e=t.cameras,i=this._frustums;for(let s=0;s<e.length;s++){let r=e[s];gu.multiplyMatrices(r.projectionMatrix,r.matrixWorldInverse),i[s]===void 0&&(i[s]=new Ii),i[s].setFromProjectionMatrix(gu,r.coordinateSystem,r.reversedDepth)}return this._count=e.length,this}getFrustum(t){return this._frustums[t]}intersectsObject(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsObject(t))return!0;return!1}intersectsSprite(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsSprite(t))return!0;return!1}intersectsSphere(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsSphere(t))return!0;return!1}intersectsBox(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].intersectsBox(t))return!0;return!1}containsPoint(t){let e=this._frustums;for(let i=0;i<this._count;i++)if(e[i].containsPoint(t))return!0;return!1}copy(t){this.coordinateSystem=t.coordinateSystem;let e=this._frustums,i=t._frustums;for(let s=0;s<t._count;s++)e[s]===void 0&&(e[s]=new Ii),e[s].copy(i[s]);return this._count=t._count,this}clone(){return new n().copy(this)}};var Js=class extends We{constructor(t=[],e=Di,i,s,r,o,a,l,c,h){super(t,e,i,s,r,o,a,l,c,h),this.isCubeTexture=!0,this.flipY=!1}get images(){return this.image}set images(t){this.image=t}};var Zn=class extends We{constructor(t,e,i=bn,s,r,o,a=pe,l=pe,c,h=Yn,d=1){if(h!==Yn&&h!==Kn)throw new Error("THREE.DepthTexture: format must be either THREE.DepthFormat or THREE.DepthStencilFormat");let u={width:t,height:e,depth:d};super(u,s,r,o,a,l,h,i,c),this.isDepthTexture=!0,this.flipY=!1,this.generateMipmaps=!1,this.compareFunction=null}copy(t){return super.copy(t),this.source=new rs(Object.assign({},t.image)),this.compareFunction=t.compareFunction,this}toJSON(t){let e=super.toJSON(t);return e.compareFunction=this.compareFunction,e}},Ks=class extends Zn{constructor(t,e=bn,i=Di,s,r,o=pe,a=pe,l,c=Yn){let h={width:t,height:t,depth:1},d=[h,h,h,h,h,h];super(t,t,e,i,s,r,o,a,l,c),this.image=d,this.isCubeDepthTexture=!0,this.isCubeTexture=!0}get images(){return this.image}set images(t){this.image=t}},js=class extends We{constructor(t=null){super(),this.sourceTexture=t,this.isExternalTexture=!0}copy(t){return super.copy(t),this.sourceTexture=t.sourceTexture,this}},cs=class n extends Xe{constructor(t=1,e=1,i=1,s=1,r=1,o=1){super(),this.type="BoxGeometry",this.parameters={width:t,height:e,depth:i,widthSegments:s,heightSegments:r,depthSegments:o};let a=this;s=Math.floor(s),r=Math.floor(r),o=Math.floor(o);let l=[],c=[],h=[],d=[],u=0,f=0;g("z","y","x",-1,-1,i,e,t,o,r,0),g("z","y","x",1,-1,i,e,-t,o,r,1),g("x","z","y",1,1,t,i,e,s,o,2),g("x","z","y",1,-1,t,i,-e,s,o,3),g("x","y","z",1,-1,t,e,i,s,r,4),g("x","y","z",-1,-1,t,e,-i,s,r,5),this.setIndex(l),this.setAttribute("position",new fn(c,3)),this.setAttribute("normal",new fn(h,3)),this.setAttribute("uv",new fn(d,2));function g(M,p,m,S,R,T,E,A,_,w,B){let L=T/_,D=E/w,G=T/2,$=E/2,P=A/2,X=_+1,K=w+1,V=0,nt=0,W=new z;for(let Q=0;Q<K;Q++){let tt=Q*D-$;for(let bt=0;bt<X;bt++){let Dt=bt*L-G;W[M]=Dt*S,W[p]=tt*R,W[m]=P,c.push(W.x,W.y,W.z),W[M]=0,W[p]=0,W[m]=A>0?1:-1,h.push(W.x,W.y,W.z),d.push(bt/_),d.push(1-Q/w),V+=1}}for(let Q=0;Q<w;Q++)for(let tt=0;tt<_;tt++){let bt=u+tt+X*Q,Dt=u+tt+X*(Q+1),Z=u+(tt+1)+X*(Q+1),mt=u+(tt+1)+X*Q;l.push(bt,Dt,mt),l.push(Dt,Z,mt),nt+=6}a.addGroup(f,nt,B),f+=nt,u+=V}}copy(t){return super.copy(t),this.parameters=Object.assign({},t.parameters),this}static fromJSON(t){return new n(t.width,t.height,t.depth,t.widthSegments,t.heightSegments,t.depthSegments)}};var Qs=class n extends Xe{constructor(t=1,e=1,i=1,s=1){super(),this.type="PlaneGeometry",this.parameters={width:t,height:e,widthSegments:i,heightSegments:s};let r=t/2,o=e/2,a=Math.floor(i),l=Math.floor(s),c=a+1,h=l+1,d=t/a,u=e/l,f=[],g=[],M=[],p=[];for(let m=0;m<h;m++){let S=m*u-o;for(let R=0;R<c;R++){let T=R*d-r;g.push(T,-S,0),M.push(0,0,1),p.push(R/a),p.push(1-m/l)}}for(let m=0;m<l;m++)for(let S=0;S<a;S++){let R=S+c*m,T=S+c*(m+1),E=S+1+c*(m+1),A=S+1+c*m;f.push(R,T,A),f.push(T,E,A)}this.setIndex(f),this.setAttribute("position",new fn(g,3)),this.setAttribute("normal",new fn(M,3)),this.setAttribute("uv",new fn(p,2))}copy(t){return super.copy(t),this.parameters=Object.assign({},t.parameters),this}static fromJSON(t){return new n(t.width,t.height,t.widthSegments,t.heightSegments)}};function Bi(n){let t={};for(let e in n){t[e]={};for(let i in n[e]){let s=n[e][i];if(_u(s))s.isRenderTargetTexture?(It("UniformsUtils: Textures of render targets cannot be cloned via cloneUniforms() or mergeUniforms()."),t[e][i]=null):t[e][i]=s.clone();else if(Array.isArray(s))if(_u(s[0])){let r=[];for(let o=0,a=s.length;o<a;o++)r[o]=s[o].clone();t[e][i]=r}else t[e][i]=s.slice();else t[e][i]=s}}return t}function Fe(n){let t={};for(let e=0;e<n.length;e++){let i=Bi(n[e]);for(let s in i)t[s]=i[s]}return t}function _u(n){return n&&(n.isColor||n.isMatrix3||n.isMatrix4||n.isVector2||n.isVector3||n.isVector4||n.isTexture||n.isQuaternion)}function l0(n){let t=[];for(let e=0;e<n.length;e++)t.push(n[e].clone());return t}function cc(n){let t=n.getRenderTarget();return t===null?n.outputColorSpace:t.isXRRenderTarget===!0?t.texture.colorSpace:zt.workingColorSpace}var ld={clone:Bi,merge:Fe},c0=`void main() {
	gl_Position = projectionMatrix * modelViewMatrix * vec4( position, 1.0 );
}`,h0=`void main() {
	gl_FragColor = vec4( 1.0, 0.0, 0.0, 1.0 );
}`,Nn=class extends Ci{constructor(t){super(),this.isShaderMaterial=!0,this.type="ShaderMaterial",this.defines={},this.uniforms={},this.uniformsGroups=[],this.vertexShader=c0,this.fragmentShader=h0,this.linewidth=1,this.wireframe=!1,this.wireframeLinewidth=1,this.fog=!1,this.lights=!1,this.clipping=!1,this.forceSinglePass=!0,this.extensions={clipCullDistance:!1,multiDraw:!1},this.defaultAttributeValues={color:[1,1,1],uv:[0,0],uv1:[0,0]},this.index0AttributeName=void 0,this.uniformsNeedUpdate=!1,this.glslVersion=null,t!==void 0&&this.setValues(t)}copy(t){return super.copy(t),this.fragmentShader=t.fragmentShader,this.vertexShader=t.vertexShader,this.uniforms=Bi(t.uniforms),this.uniformsGroups=l0(t.uniformsGroups),this.defines=Object.assign({},t.defines),this.wireframe=t.wireframe,this.wireframeLinewidth=t.wireframeLinewidth,this.fog=t.fog,this.lights=t.lights,this.clipping=t.clipping,this.extensions=Object.assign({},t.extensions),this.glslVersion=t.glslVersion,this.defaultAttributeValues=Object.assign({},t.defaultAttributeValues),this.index0AttributeName=t.index0AttributeName,this.uniformsNeedUpdate=t.uniformsNeedUpdate,this}toJSON(t){let e=super.toJSON(t);e.glslVersion=this.glslVersion,e.uniforms={};for(let s in this.uniforms){let o=this.uniforms[s].value;o&&o.isTexture?e.uniforms[s]={type:"t",value:o.toJSON(t).uuid}:o&&o.isColor?e.uniforms[s]={type:"c",value:o.getHex()}:o&&o.isVector2?e.uniforms[s]={type:"v2",value:o.toArray()}:o&&o.isVector3?e.uniforms[s]={type:"v3",value:o.toArray()}:o&&o.isVector4?e.uniforms[s]={type:"v4",value:o.toArray()}:o&&o.isMatrix3?e.uniforms[s]={type:"m3",value:o.toArray()}:o&&o.isMatrix4?e.uniforms[s]={type:"m4",value:o.toArray()}:e.uniforms[s]={value:o}}Object.keys(this.defines).length>0&&(e.defines=this.defines),e.vertexShader=this.vertexShader,e.fragmentShader=this.fragmentShader,e.lights=this.lights,e.clipping=this.clipping;let i={};for(let s in this.extensions)this.extensions[s]===!0&&(i[s]=!0);return Object.keys(i).length>0&&(e.extensions=i),e}fromJSON(t,e){if(super.fromJSON(t,e),t.uniforms!==void 0)for(let i in t.uniforms){let s=t.uniforms[i];switch(this.uniforms[i]={},s.type){case"t":this.uniforms[i].value=e[s.value]||null;break;case"c":this.uniforms[i].value=new Yt().setHex(s.value);break;case"v2":this.uniforms[i].value=new Xt().fromArray(s.value);break;case"v3":this.uniforms[i].value=new z().fromArray(s.value);break;case"v4":this.uniforms[i].value=new se().fromArray(s.value);break;case"m3":this.uniforms[i].value=new Lt().fromArray(s.value);break;case"m4":this.uniforms[i].value=new fe().fromArray(s.value);break;default:this.uniforms[i].value=s.value}}if(t.defines!==void 0&&(this.defines=t.defines),t.vertexShader!==void 0&&(this.vertexShader=t.vertexShader),t.fragmentShader!==void 0&&(this.fragmentShader=t.fragmentShader),t.glslVersion!==void 0&&(this.glslVersion=t.glslVersion),t.extensions!==void 0)for(let i in t.extensions)this.extensions[i]=t.extensions[i];return t.lights!==void 0&&(this.lights=t.lights),t.clipping!==void 0&&(this.clipping=t.clipping),this}},di=class extends Nn{constructor(t){super(t),this.isRawShaderMaterial=!0,this.type="RawShaderMaterial"}};var bo=class extends Ci{constructor(t){super(),this.isMeshDepthMaterial=!0,this.type="MeshDepthMaterial",this.depthPacking=qu,this.map=null,this.alphaMap=null,this.displacementMap=null,this.displacementScale=1,this.displacementBias=0,this.wireframe=!1,this.wireframeLinewidth=1,this.setValues(t)}copy(t){return super.copy(t),this.depthPacking=t.depthPacking,this.map=t.map,this.alphaMap=t.alphaMap,this.displacementMap=t.displacementMap,this.displacementScale=t.displacementScale,this.displacementBias=t.displacementBias,this.wireframe=t.wireframe,this.wireframeLinewidth=t.wireframeLinewidth,this}},wo=class extends Ci{constructor(t){super(),this.isMeshDistanceMaterial=!0,this.type="MeshDistanceMaterial",this.map=null,this.alphaMap=null,this.displacementMap=null,this.displacementScale=1,this.displacementBias=0,this.setValues(t)}copy(t){return super.copy(t),this.map=t.map,this.alphaMap=t.alphaMap,this.displacementMap=t.displacementMap,this.displacementScale=t.displacementScale,this.displacementBias=t.displacementBias,this}};function Qi(n,t){return!n||n.constructor===t?n:typeof t.BYTES_PER_ELEMENT=="number"?new t(n):Array.prototype.slice.call(n)}function to(n){return n!==void 0&&n.inTangents!==void 0&&n.outTangents!==void 0}var fi=class{constructor(t,e,i,s){this.parameterPositions=t,this._cachedIndex=0,this.resultBuffer=s!==void 0?s:new e.constructor(i),this.sampleValues=e,this.valueSize=i,this.settings=null,this.DefaultSettings_={}}evaluate(t){let e=this.parameterPositions,i=this._cachedIndex,s=e[i],r=e[i-1];n:{t:{let o;e:{i:if(!(t<s)){for(let a=i+2;;){if(s===void 0){if(t<r)break i;return i=e.length,this._cachedIndex=i,this.copySampleValue_(i-1)}if(i===a)break;if(r=s,s=e[++i],t<s)break t}o=e.length;break e}if(!(t>=r)){let a=e[1];t<a&&(i=2,r=a);for(let l=i-2;;){if(r===void 0)return this._cachedIndex=0,this.copySampleValue_(0);if(i===l)break;if(s=r,r=e[--i-1],t>=r)break t}o=i,i=0;break e}break n}for(;i<o;){let a=i+o>>>1;t<e[a]?o=a:i=a+1}if(s=e[i],r=e[i-1],r===void 0)return this._cachedIndex=0,this.copySampleValue_(0);if(s===void 0)return i=e.length,this._cachedIndex=i,this.copySampleValue_(i-1)}this._cachedIndex=i,this.intervalChanged_(i,r,s)}return this.interpolate_(i,r,t,s)}getSettings_(){return this.settings||this.DefaultSettings_}copySampleValue_(t){let e=this.resultBuffer,i=this.sampleValues,s=this.valueSize,r=t*s;for(let o=0;o!==s;++o)e[o]=i[r+o];return e}interpolate_(){throw new Error("THREE.Interpolant: Call to abstract method.")}intervalChanged_(){}},To=class extends fi{constructor(t,e,i,s){super(t,e,i,s),this._weightPrev=-0,this._offsetPrev=-0,this._weightNext=-0,this._offsetNext=-0,this.DefaultSettings_={endingStart:Pl,endingEnd:Pl}}intervalChanged_(t,e,i){let s=this.parameterPositions,r=t-2,o=t+1,a=s[r],l=s[o];if(a===void 0)switch(this.getSettings_().endingStart){case Ll:r=t,a=2*e-i;break;case Nl:r=s.length-2,a=e+s[r]-s[r+1];break;default:r=t,a=i}if(l===void 0)switch(this.getSettings_().endingEnd){case Ll:o=t,l=2*i-e;break;case Nl:o=1,l=i+s[1]-s[0];break;default:o=t-1,l=e}let c=(i-e)*.5,h=this.valueSize;this._weightPrev=c/(e-a),this._weightNext=c/(l-i),this._offsetPrev=r*h,this._offsetNext=o*h}interpolate_(t,e,i,s){let r=this.resultBuffer,o=this.sampleValues,a=this.valueSize,l=t*a,c=l-a,h=this._offsetPrev,d=this._offsetNext,u=this._weightPrev,f=this._weightNext,g=(i-e)/(s-e),M=g*g,p=M*g,m=-u*p+2*u*M-u*g,S=(1+u)*p+(-1.5-2*u)*M+(-.5+u)*g+1,R=(-1-f)*p+(1.5+f)*M+.5*g,T=f*p-f*M;for(let E=0;E!==a;++E)r[E]=m*o[h+E]+S*o[c+E]+R*o[l+E]+T*o[d+E];return r}},Ao=class extends fi{constructor(t,e,i,s){super(t,e,i,s)}interpolate_(t,e,i,s){let r=this.resultBuffer,o=this.sampleValues,a=this.valueSize,l=t*a,c=l-a,h=(i-e)/(s-e),d=1-h;for(let u=0;u!==a;++u)r[u]=o[c+u]*d+o[l+u]*h;return r}},Eo=class extends fi{constructor(t,e,i,s){super(t,e,i,s)}interpolate_(t){return this.copySampleValue_(t-1)}},Ro=class extends fi{interpolate_(t,e,i,s){let r=this.resultBuffer,o=this.sampleValues,a=this.valueSize,l=t*a,c=l-a,h=this.inTangents,d=this.outTangents;if(!h||!d){let g=(i-e)/(s-e),M=1-g;for(let p=0;p!==a;++p)r[p]=o[c+p]*M+o[l+p]*g;return r}let u=a*2,f=t-1;for(let g=0;g!==a;++g){let M=o[c+g],p=o[l+g],m=f*u+g*2,S=d[m],R=d[m+1],T=t*u+g*2,E=h[T],A=h[T+1],_=d0(i,e,S,E,s);r[g]=cd(_,M,R,A,p)}return r}};function cd(n,t,e,i,s){let r=1-n;return r*r*r*t+3*r*r*n*e+3*r*n*n*i+n*n*n*s}function u0(n,t,e,i,s){let r=1-n;return 3*r*r*(e-t)+6*r*n*(i-e)+3*n*n*(s-i)}function d0(n,t,e,i,s){let r=(n-t)/(s-t);for(let o=0;o<8;o++){let a=cd(r,t,e,i,s)-n;if(Math.abs(a)<1e-10)break;let l=u0(r,t,e,i,s);if(Math.abs(l)<1e-10)break;r=Math.max(0,Math.min(1,r-a/l))}return r}var Qe=class{constructor(t,e,i,s){if(t===void 0)throw new Error("THREE.KeyframeTrack: track name is undefined");if(e===void 0||e.length===0)throw new Error("THREE.KeyframeTrack: no keyframes in track named "+t);this.name=t,this.times=Qi(e,this.TimeBufferType),this.values=Qi(i,this.ValueBufferType),this.setInterpolation(s||this.DefaultInterpolation)}static toJSON(t){let e=t.constructor,i;if(e.toJSON!==this.toJSON)i=e.toJSON(t);else{i={name:t.name,times:Qi(t.times,Array),values:Qi(t.values,Array)};let s=t.getInterpolation();s!==t.DefaultInterpolation&&(i.interpolation=s),to(t.settings)&&(i.settings={inTangents:Qi(t.settings.inTangents,Array),outTangents:Qi(t.settings.outTangents,Array)})}return i.type=t.ValueTypeName,i}InterpolantFactoryMethodDiscrete(t){return new Eo(this.times,this.values,this.getValueSize(),t)}InterpolantFactoryMethodLinear(t){return new Ao(this.times,this.values,this.getValueSize(),t)}InterpolantFactoryMethodSmooth(t){return new To(this.times,this.values,this.getValueSize(),t)}InterpolantFactoryMethodBezier(t){let e=new Ro(this.times,this.values,this.getValueSize(),t);return this.settings&&(e.inTangents=this.settings.inTangents,e.outTangents=this.settings.outTangents),e}setInterpolation(t){let e;switch(t){case ks:e=this.InterpolantFactoryMethodDiscrete;break;case mo:e=this.InterpolantFactoryMethodLinear;break;case io:e=this.InterpolantFactoryMethodSmooth;break;case Il:e=this.InterpolantFactoryMethodBezier;break}if(e===void 0){let i="unsupported interpolation for "+this.ValueTypeName+" keyframe track named "+this.name;if(this.createInterpolant===void 0)if(t!==this.DefaultInterpolation)this.setInterpolation(this.DefaultInterpolation);else throw new Error(i);return It("KeyframeTrack:",i),this}return this.createInterpolant=e,this}getInterpolation(){switch(this.createInterpolant){case this.InterpolantFactoryMethodDiscrete:return ks;case this.InterpolantFactoryMethodLinear:return mo;case this.InterpolantFactoryMethodSmooth:return io;case this.InterpolantFactoryMethodBezier:return Il}}getValueSize(){return this.values.length/this.times.length}shift(t){if(t!==0){let e=this.times;for(let i=0,s=e.length;i!==s;++i)e[i]+=t;to(this.settings)&&(xu(this.settings.inTangents,t),xu(this.settings.outTangents,t))}return this}scale(t){if(t!==1){let e=this.times;for(let i=0,s=e.length;i!==s;++i)e[i]*=t;to(this.settings)&&(vu(this.settings.inTangents,t),vu(this.settings.outTangents,t))}return this}trim(t,e){let i=this.times,s=i.length,r=0,o=s-1;for(;r!==s&&i[r]<t;)++r;for(;o!==-1&&i[o]>e;)--o;if(++o,r!==0||o!==s){r>=o&&(o=Math.max(o,1),r=o-1);let a=this.getValueSize();this.times=i.slice(r,o),this.values=this.values.slice(r*a,o*a)}return this}validate(){let t=!0,e=this.getValueSize();e-Math.floor(e)!==0&&(Pt("KeyframeTrack: Invalid value size in track.",this),t=!1);let i=this.times,s=this.values,r=i.length;r===0&&(Pt("KeyframeTrack: Track is empty.",this),t=!1);let o=null;for(let a=0;a!==r;a++){let l=i[a];if(typeof l=="number"&&isNaN(l)){Pt("KeyframeTrack: Time is not a valid number.",this,a,l),t=!1;break}if(o!==null&&o>l){Pt("KeyframeTrack: Out of order keys.",this,a,l,o),t=!1;break}o=l}if(s!==void 0&&Vg(s))for(let a=0,l=s.length;a!==l;++a){let c=s[a];if(isNaN(c)){Pt("KeyframeTrack: Value is not a valid number.",this,a,c),t=!1;break}}return t}optimize(){let t=this.times.slice(),e=this.values.slice(),i=this.getValueSize(),s=this.getInterpolation()===io,r=t.length-1,o=1;for(let a=1;a<r;++a){let l=!1,c=t[a],h=t[a+1];if(c!==h&&(a!==1||c!==t[0]))if(s)l=!0;else{let d=a*i,u=d-i,f=d+i;for(let g=0;g!==i;++g){let M=e[d+g];if(M!==e[u+g]||M!==e[f+g]){l=!0;break}}}if(l){if(a!==o){t[o]=t[a];let d=a*i,u=o*i;for(let f=0;f!==i;++f)e[u+f]=e[d+f]}++o}}if(r>0){t[o]=t[r];for(let a=r*i,l=o*i,c=0;c!==i;++c)e[l+c]=e[a+c];++o}return o!==t.length?(this.times=t.slice(0,o),this.values=e.slice(0,o*i)):(this.times=t,this.values=e),this}clone(){let t=this.times.slice(),e=this.values.slice(),i=this.constructor,s=new i(this.name,t,e);return s.createInterpolant=this.createInterpolant,to(this.settings)&&(s.settings={inTangents:this.settings.inTangents.slice(),outTangents:this.settings.outTangents.slice()}),s}};function xu(n,t){for(let e=0,i=n.length;e!==i;e+=2)n[e]+=t}function vu(n,t){for(let e=0,i=n.length;e!==i;e+=2)n[e]*=t}Qe.prototype.ValueTypeName="";Qe.prototype.TimeBufferType=Float32Array;Qe.prototype.ValueBufferType=Float32Array;Qe.prototype.DefaultInterpolation=mo;var pi=class extends Qe{constructor(t,e,i){super(t,e,i)}};pi.prototype.ValueTypeName="bool";pi.prototype.ValueBufferType=Array;pi.prototype.DefaultInterpolation=ks;pi.prototype.InterpolantFactoryMethodLinear=void 0;pi.prototype.InterpolantFactoryMethodSmooth=void 0;var Co=class extends Qe{constructor(t,e,i,s){super(t,e,i,s)}};Co.prototype.ValueTypeName="color";var Io=class extends Qe{constructor(t,e,i,s){super(t,e,i,s)}};Io.prototype.ValueTypeName="number";var Po=class extends fi{constructor(t,e,i,s){super(t,e,i,s)}interpolate_(t,e,i,s){let r=this.resultBuffer,o=this.sampleValues,a=this.valueSize,l=(i-e)/(s-e),c=t*a;for(let h=c+a;c!==h;c+=4)Ln.slerpFlat(r,0,o,c-a,o,c,l);return r}},tr=class extends Qe{constructor(t,e,i,s){super(t,e,i,s)}InterpolantFactoryMethodLinear(t){return new Po(this.times,this.values,this.getValueSize(),t)}};tr.prototype.ValueTypeName="quaternion";tr.prototype.InterpolantFactoryMethodSmooth=void 0;var mi=class extends Qe{constructor(t,e,i){super(t,e,i)}};mi.prototype.ValueTypeName="string";mi.prototype.ValueBufferType=Array;mi.prototype.DefaultInterpolation=ks;mi.prototype.InterpolantFactoryMethodLinear=void 0;mi.prototype.InterpolantFactoryMethodSmooth=void 0;var Lo=class extends Qe{constructor(t,e,i,s){super(t,e,i,s)}};Lo.prototype.ValueTypeName="vector";var No=class{constructor(t,e,i){let s=this,r=!1,o=0,a=0,l,c=[];this.onStart=void 0,this.onLoad=t,this.onProgress=e,this.onError=i,this._abortController=null,this.itemStart=function(h){a++,r===!1&&s.onStart!==void 0&&s.onStart(h,o,a),r=!0},this.itemEnd=function(h){o++,s.onProgress!==void 0&&s.onProgress(h,o,a),o===a&&(r=!1,s.onLoad!==void 0&&s.onLoad())},this.itemError=function(h){s.onError!==void 0&&s.onError(h)},this.resolveURL=function(h){return h=h.normalize("NFC"),l?l(h):h},this.setURLModifier=function(h){return l=h,this},this.addHandler=function(h,d){return c.push(h,d),this},this.removeHandler=function(h){let d=c.indexOf(h);return d!==-1&&c.splice(d,2),this},this.getHandler=function(h){for(let d=0,u=c.length;d<u;d+=2){let f=c[d],g=c[d+1];if(f.global&&(f.lastIndex=0),f.test(h))return g}return null},this.abort=function(){return this.abortController.abort(),this._abortController=null,this}}get abortController(){return this._abortController||(this._abortController=new AbortController),this._abortController}},hd=new No,Do=class{constructor(t){this.manager=t!==void 0?t:hd,this.crossOrigin="anonymous",this.withCredentials=!1,this.path="",this.resourcePath="",this.requestHeader={},this.priority="auto",this.cache="default",typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("observe",{detail:this}))}load(){}loadAsync(t,e){let i=this;return new Promise(function(s,r){i.load(t,s,e,r)})}parse(){}setCrossOrigin(t){return this.crossOrigin=t,this}setWithCredentials(t){return this.withCredentials=t,this}setPath(t){return this.path=t,this}setResourcePath(t){return this.resourcePath=t,this}setRequestHeader(t){return this.requestHeader=t,this}setPriority(t){return this.priority=t,this}setCache(t){return this.cache=t,this}abort(){return this}};Do.DEFAULT_MATERIAL_NAME="__DEFAULT";var eo=new z,no=new Ln,Cn=new z,Pi=class extends pn{constructor(){super(),this.isCamera=!0,this.type="Camera",this.matrixWorldInverse=new fe,this.projectionMatrix=new fe,this.projectionMatrixInverse=new fe,this.coordinateSystem=dn,this._reversedDepth=!1}get reversedDepth(){return this._reversedDepth}copy(t,e){return super.copy(t,e),this.matrixWorldInverse.copy(t.matrixWorldInverse),this.projectionMatrix.copy(t.projectionMatrix),this.projectionMatrixInverse.copy(t.projectionMatrixInverse),this.coordinateSystem=t.coordinateSystem,this}getWorldDirection(t){return super.getWorldDirection(t).negate()}updateMatrixWorld(t){super.updateMatrixWorld(t),this.matrixWorld.decompose(eo,no,Cn),Cn.x===1&&Cn.y===1&&Cn.z===1?this.matrixWorldInverse.copy(this.matrixWorld).invert():this.matrixWorldInverse.compose(eo,no,Cn.set(1,1,1)).invert()}updateWorldMatrix(t,e,i=!1){super.updateWorldMatrix(t,e,i),this.matrixWorld.decompose(eo,no,Cn),Cn.x===1&&Cn.y===1&&Cn.z===1?this.matrixWorldInverse.copy(this.matrixWorld).invert():this.matrixWorldInverse.compose(eo,no,Cn.set(1,1,1)).invert()}clone(){return new this.constructor().copy(this)}},li=new z,yu=new Xt,Mu=new Xt,Ke=class extends Pi{constructor(t=50,e=1,i=.1,s=2e3){super(),this.isPerspectiveCamera=!0,this.type="PerspectiveCamera",this.fov=t,this.zoom=1,this.near=i,this.far=s,this.focus=10,this.aspect=e,this.view=null,this.filmGauge=35,this.filmOffset=0,this.updateProjectionMatrix()}copy(t,e){return super.copy(t,e),this.fov=t.fov,this.zoom=t.zoom,this.near=t.near,this.far=t.far,this.focus=t.focus,this.aspect=t.aspect,this.view=t.view===null?null:Object.assign({},t.view),this.filmGauge=t.filmGauge,this.filmOffset=t.filmOffset,this}setFocalLength(t){let e=.5*this.getFilmHeight()/t;this.fov=go*2*Math.atan(e),this.updateProjectionMatrix()}getFocalLength(){let t=Math.tan(cl*.5*this.fov);return .5*this.getFilmHeight()/t}getEffectiveFOV(){return go*2*Math.atan(Math.tan(cl*.5*this.fov)/this.zoom)}getFilmWidth(){return this.filmGauge*Math.min(this.aspect,1)}getFilmHeight(){return this.filmGauge/Math.max(this.aspect,1)}getViewBounds(t,e,i){li.set(-1,-1,.5).applyMatrix4(this.projectionMatrixInverse),e.set(li.x,li.y).multiplyScalar(-t/li.z),li.set(1,1,.5).applyMatrix4(this.projectionMatrixInverse),i.set(li.x,li.y).multiplyScalar(-t/li.z)}getViewSize(t,e){return this.getViewBounds(t,yu,Mu),e.subVectors(Mu,yu)}setViewOffset(t,e,i,s,r,o){this.aspect=t/e,this.view===null&&(this.view={enabled:!0,fullWidth:1,fullHeight:1,offsetX:0,offsetY:0,width:1,height:1}),this.view.enabled=!0,this.view.fullWidth=t,this.view.fullHeight=e,this.view.offsetX=i,this.view.offsetY=s,this.view.width=r,this.view.height=o,this.updateProjectionMatrix()}clearViewOffset(){this.view!==null&&(this.view.enabled=!1),this.updateProjectionMatrix()}updateProjectionMatrix(){let t=this.near,e=t*Math.tan(cl*.5*this.fov)/this.zoom,i=2*e,s=this.aspect*i,r=-.5*s,o=this.view;if(this.view!==null&&this.view.enabled){let l=o.fullWidth,c=o.fullHeight;r+=o.offsetX*s/l,e-=o.offsetY*i/c,s*=o.width/l,i*=o.height/c}let a=this.filmOffset;a!==0&&(r+=t*a/this.getFilmWidth()),this.projectionMatrix.makePerspective(r,r+s,e,e-i,t,this.far,this.coordinateSystem,this.reversedDepth),this.projectionMatrixInverse.copy(this.projectionMatrix).invert()}toJSON(t){let e=super.toJSON(t);return e.object.fov=this.fov,e.object.zoom=this.zoom,e.object.near=this.near,e.object.far=this.far,e.object.focus=this.focus,e.object.aspect=this.aspect,this.view!==null&&(e.object.view=Object.assign({},this.view)),e.object.filmGauge=this.filmGauge,e.object.filmOffset=this.filmOffset,e}};var Uo=class extends Pi{constructor(t=-1,e=1,i=1,s=-1,r=.1,o=2e3){super(),this.isOrthographicCamera=!0,this.type="OrthographicCamera",this.zoom=1,this.view=null,this.left=t,this.right=e,this.top=i,this.bottom=s,this.near=r,this.far=o,this.updateProjectionMatrix()}copy(t,e){return super.copy(t,e),this.left=t.left,this.right=t.right,this.top=t.top,this.bottom=t.bottom,this.near=t.near,this.far=t.far,this.zoom=t.zoom,this.view=t.view===null?null:Object.assign({},t.view),this}setViewOffset(t,e,i,s,r,o){this.view===null&&(this.view={enabled:!0,fullWidth:1,fullHeight:1,offsetX:0,offsetY:0,width:1,height:1}),this.view.enabled=!0,this.view.fullWidth=t,this.view.fullHeight=e,this.view.offsetX=i,this.view.offsetY=s,this.view.width=r,this.view.height=o,this.updateProjectionMatrix()}clearViewOffset(){this.view!==null&&(this.view.enabled=!1),this.updateProjectionMatrix()}updateProjectionMatrix(){let t=(this.right-this.left)/(2*this.zoom),e=(this.top-this.bottom)/(2*this.zoom),i=(this.right+this.left)/2,s=(this.top+this.bottom)/2,r=i-t,o=i+t,a=s+e,l=s-e;if(this.view!==null&&this.view.enabled){let c=(this.right-this.left)/this.view.fullWidth/this.zoom,h=(this.top-this.bottom)/this.view.fullHeight/this.zoom;r+=c*this.view.offsetX,o=r+c*this.view.width,a-=h*this.view.offsetY,l=a-h*this.view.height}this.projectionMatrix.makeOrthographic(r,o,a,l,this.near,this.far,this.coordinateSystem,this.reversedDepth),this.projectionMatrixInverse.copy(this.projectionMatrix).invert()}toJSON(t){let e=super.toJSON(t);return e.object.zoom=this.zoom,e.object.left=this.left,e.object.right=this.right,e.object.top=this.top,e.object.bottom=this.bottom,e.object.near=this.near,e.object.far=this.far,this.view!==null&&(e.object.view=Object.assign({},this.view)),e}};var ts=-90,es=1,hs=class extends pn{constructor(t,e,i){super(),this.type="CubeCamera",this.renderTarget=i,this.coordinateSystem=null,this.activeMipmapLevel=0;let s=new Ke(ts,es,t,e);s.layers=this.layers,this.add(s);let r=new Ke(ts,es,t,e);r.layers=this.layers,this.add(r);let o=new Ke(ts,es,t,e);o.layers=this.layers,this.add(o);let a=new Ke(ts,es,t,e);a.layers=this.layers,this.add(a);let l=new Ke(ts,es,t,e);l.layers=this.layers,this.add(l);let c=new Ke(ts,es,t,e);c.layers=this.layers,this.add(c)}updateCoordinateSystem(){let t=this.coordinateSystem,e=this.children.concat(),[i,s,r,o,a,l]=e;for(let c of e)this.remove(c);if(t===dn)i.up.set(0,1,0),i.lookAt(1,0,0),s.up.set(0,1,0),s.lookAt(-1,0,0),r.up.set(0,0,-1),r.lookAt(0,1,0),o.up.set(0,0,1),o.lookAt(0,-1,0),a.up.set(0,1,0),a.lookAt(0,0,1),l.up.set(0,1,0),l.lookAt(0,0,-1);else if(t===Gs)i.up.set(0,-1,0),i.lookAt(-1,0,0),s.up.set(0,-1,0),s.lookAt(1,0,0),r.up.set(0,0,1),r.lookAt(0,1,0),o.up.set(0,0,-1),o.lookAt(0,-1,0),a.up.set(0,-1,0),a.lookAt(0,0,1),l.up.set(0,-1,0),l.lookAt(0,0,-1);else throw new Error("THREE.CubeCamera.updateCoordinateSystem(): Invalid coordinate system: "+t);for(let c of e)this.add(c),c.updateMatrixWorld()}update(t,e){this.parent===null&&this.updateMatrixWorld();let{renderTarget:i,activeMipmapLevel:s}=this;this.coordinateSystem!==t.coordinateSystem&&(this.coordinateSystem=t.coordinateSystem,this.updateCoordinateSystem());let[r,o,a,l,c,h]=this.children,d=t.getRenderTarget(),u=t.getActiveCubeFace(),f=t.getActiveMipmapLevel(),g=t.xr.enabled;t.xr.enabled=!1;let M=i.texture.mipmapsAutoUpdate;i.texture.mipmapsAutoUpdate=!1;let p=!1;t.isWebGLRenderer===!0?p=t.state.buffers.depth.getReversed():p=t.reversedDepthBuffer,t.setRenderTarget(i,0,s),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,r),t.setRenderTarget(i,1,s),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,o),t.setRenderTarget(i,2,s),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,a),t.setRenderTarget(i,3,s),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,l),t.setRenderTarget(i,4,s),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,c),i.texture.mipmapsAutoUpdate=M,t.setRenderTarget(i,5,s),p&&t.autoClear===!1&&t.clearDepth(),t.render(e,h),t.setRenderTarget(d,u,f),t.xr.enabled=g,i.texture.needsPMREMUpdate=!0}},Oo=class extends Ke{constructor(t=[]){super(),this.isArrayCamera=!0,this.isMultiViewCamera=!1,this.cameras=t,this.perCameraFrustumCulled=!1}};var hc="\\[\\]\\.:\\/",f0=new RegExp("["+hc+"]","g"),uc="[^"+hc+"]",p0="[^"+hc.replace("\\.","")+"]",m0=/((?:WC+[\/:])*)/.source.replace("WC",uc),g0=/(WCOD+)?/.source.replace("WCOD",p0),_0=/(?:\.(WC+)(?:\[(.+)\])?)?/.source.replace("WC",uc),x0=/\.(WC+)(?:\[(.+)\])?/.source.replace("WC",uc),v0=new RegExp("^"+m0+g0+_0+x0+"$"),y0=["material","materials","bones","map"],Dl=class{constructor(t,e,i){let s=i||ie.parseTrackName(e);this._targetGroup=t,this._bindings=t.subscribe_(e,s)}getValue(t,e){this.bind();let i=this._targetGroup.nCachedObjects_,s=this._bindings[i];s!==void 0&&s.getValue(t,e)}setValue(t,e){let i=this._bindings;for(let s=this._targetGroup.nCachedObjects_,r=i.length;s!==r;++s)i[s].setValue(t,e)}bind(){let t=this._bindings;for(let e=this._targetGroup.nCachedObjects_,i=t.length;e!==i;++e)t[e].bind()}unbind(){let t=this._bindings;for(let e=this._targetGroup.nCachedObjects_,i=t.length;e!==i;++e)t[e].unbind()}},ie=class n{constructor(t,e,i){this.path=e,this.parsedPath=i||n.parseTrackName(e),this.node=n.findNode(t,this.parsedPath.nodeName),this.rootNode=t,this.getValue=this._getValue_unbound,this.setValue=this._setValue_unbound}static create(t,e,i){return t&&t.isAnimationObjectGroup?new n.Composite(t,e,i):new n(t,e,i)}static sanitizeNodeName(t){return t.replace(/\s/g,"_").replace(f0,"")}static parseTrackName(t){let e=v0.exec(t);if(e===null)throw new Error("THREE.PropertyBinding: Cannot parse trackName: "+t);let i={nodeName:e[2],objectName:e[3],objectIndex:e[4],propertyName:e[5],propertyIndex:e[6]},s=i.nodeName&&i.nodeName.lastIndexOf(".");if(s!==void 0&&s!==-1){let r=i.nodeName.substring(s+1);y0.indexOf(r)!==-1&&(i.nodeName=i.nodeName.substring(0,s),i.objectName=r)}if(i.propertyName===null||i.propertyName.length===0)throw new Error("THREE.PropertyBinding: can not parse propertyName from trackName: "+t);return i}static findNode(t,e){if(e===void 0||e===""||e==="."||e===-1||e===t.name||e===t.uuid)return t;if(t.skeleton){let i=t.skeleton.getBoneByName(e);if(i!==void 0)return i}if(t.children){let i=function(r){for(let o=0;o<r.length;o++){let a=r[o];if(a.name===e||a.uuid===e)return a;let l=i(a.children);if(l)return l}return null},s=i(t.children);if(s)return s}return null}_getValue_unavailable(){}_setValue_unavailable(){}_getValue_direct(t,e){t[e]=this.targetObject[this.propertyName]}_getValue_array(t,e){let i=this.resolvedProperty;for(let s=0,r=i.length;s!==r;++s)t[e++]=i[s]}_getValue_arrayElement(t,e){t[e]=this.resolvedProperty[this.propertyIndex]}_getValue_toArray(t,e){this.resolvedProperty.toArray(t,e)}_setValue_direct(t,e){this.targetObject[this.propertyName]=t[e]}_setValue_direct_setNeedsUpdate(t,e){this.targetObject[this.propertyName]=t[e],this.targetObject.needsUpdate=!0}_setValue_direct_setMatrixWorldNeedsUpdate(t,e){this.targetObject[this.propertyName]=t[e],this.targetObject.matrixWorldNeedsUpdate=!0}_setValue_array(t,e){let i=this.resolvedProperty;for(let s=0,r=i.length;s!==r;++s)i[s]=t[e++]}_setValue_array_setNeedsUpdate(t,e){let i=this.resolvedProperty;for(let s=0,r=i.length;s!==r;++s)i[s]=t[e++];this.targetObject.needsUpdate=!0}_setValue_array_setMatrixWorldNeedsUpdate(t,e){let i=this.resolvedProperty;for(let s=0,r=i.length;s!==r;++s)i[s]=t[e++];this.targetObject.matrixWorldNeedsUpdate=!0}_setValue_arrayElement(t,e){this.resolvedProperty[this.propertyIndex]=t[e]}_setValue_arrayElement_setNeedsUpdate(t,e){this.resolvedProperty[this.propertyIndex]=t[e],this.targetObject.needsUpdate=!0}_setValue_arrayElement_setMatrixWorldNeedsUpdate(t,e){this.resolvedProperty[this.propertyIndex]=t[e],this.targetObject.matrixWorldNeedsUpdate=!0}_setValue_fromArray(t,e){this.resolvedProperty.fromArray(t,e)}_setValue_fromArray_setNeedsUpdate(t,e){this.resolvedProperty.fromArray(t,e),this.targetObject.needsUpdate=!0}_setValue_fromArray_setMatrixWorldNeedsUpdate(t,e){this.resolvedProperty.fromArray(t,e),this.targetObject.matrixWorldNeedsUpdate=!0}_getValue_unbound(t,e){this.bind(),this.getValue(t,e)}_setValue_unbound(t,e){this.bind(),this.setValue(t,e)}bind(){let t=this.node,e=this.parsedPath,i=e.objectName,s=e.propertyName,r=e.propertyIndex;if(t||(t=n.findNode(this.rootNode,e.nodeName),this.node=t),this.getValue=this._getValue_unavailable,this.setValue=this._setValue_unavailable,!t){It("PropertyBinding: No target node found for track: "+this.path+".");return}if(i){let c=e.objectIndex;switch(i){case"materials":if(!t.material){Pt("PropertyBinding: Can not bind to material as node does not have a material.",this);return}if(!t.material.materials){Pt("PropertyBinding: Can not bind to material.materials as node.material does not have a materials array.",this);return}t=t.material.materials;break;case"bones":if(!t.skeleton){Pt("PropertyBinding: Can not bind to bones as node does not have a skeleton.",this);return}t=t.skeleton.bones;for(let h=0;h<t.length;h++)if(t[h].name===c){c=h;break}break;case"map":if("map"in t){t=t.map;break}if(!t.material){Pt("PropertyBinding: Can not bind to material as node does not have a material.",this);return}if(!t.material.map){Pt("PropertyBinding: Can not bind to material.map as node.material does not have a map.",this);return}t=t.material.map;break;default:if(t[i]===void 0){Pt("PropertyBinding: Can not bind to objectName of node undefined.",this);return}t=t[i]}if(c!==void 0){if(t[c]===void 0){Pt("PropertyBinding: Trying to bind to objectIndex of objectName, but is undefined.",this,t);return}t=t[c]}}let o=t[s];if(o===void 0){let c=e.nodeName;Pt("PropertyBinding: Trying to update property for track: "+c+"."+s+" but it wasn't found.",t);return}let a=this.Versioning.None;this.targetObject=t,t.isMaterial===!0?a=this.Versioning.NeedsUpdate:t.isObject3D===!0&&(a=this.Versioning.MatrixWorldNeedsUpdate);let l=this.BindingType.Direct;if(r!==void 0){if(s==="morphTargetInfluences"){if(!t.geometry){Pt("PropertyBinding: Can not bind to morphTargetInfluences because node does not have a geometry.",this);return}if(!t.geometry.morphAttributes){Pt("PropertyBinding: Can not bind to morphTargetInfluences because node does not have a geometry.morphAttributes.",this);return}t.morphTargetDictionary[r]!==void 0&&(r=t.morphTargetDictionary[r])}l=this.BindingType.ArrayElement,this.resolvedProperty=o,this.propertyIndex=r}else o.fromArray!==void 0&&o.toArray!==void 0?(l=this.BindingType.HasFromToArray,this.resolvedProperty=o):Array.isArray(o)?(l=this.BindingType.EntireArray,this.resolvedProperty=o):this.propertyName=s;this.getValue=this.GetterByBindingType[l],this.setValue=this.SetterByBindingTypeAndVersioning[l][a]}unbind(){this.node=null,this.getValue=this._getValue_unbound,this.setValue=this._setValue_unbound}};ie.Composite=Dl;ie.prototype.BindingType={Direct:0,EntireArray:1,ArrayElement:2,HasFromToArray:3};ie.prototype.Versioning={None:0,NeedsUpdate:1,MatrixWorldNeedsUpdate:2};ie.prototype.GetterByBindingType=[ie.prototype._getValue_direct,ie.prototype._getValue_array,ie.prototype._getValue_arrayElement,ie.prototype._getValue_toArray];ie.prototype.SetterByBindingTypeAndVersioning=[[ie.prototype._setValue_direct,ie.prototype._setValue_direct_setNeedsUpdate,ie.prototype._setValue_direct_setMatrixWorldNeedsUpdate],[ie.prototype._setValue_array,ie.prototype._setValue_array_setNeedsUpdate,ie.prototype._setValue_array_setMatrixWorldNeedsUpdate],[ie.prototype._setValue_arrayElement,ie.prototype._setValue_arrayElement_setNeedsUpdate,ie.prototype._setValue_arrayElement_setMatrixWorldNeedsUpdate],[ie.prototype._setValue_fromArray,ie.prototype._setValue_fromArray_setNeedsUpdate,ie.prototype._setValue_fromArray_setMatrixWorldNeedsUpdate]];var cT=new Float32Array(1);var Ul=class{static{this.prototype.isMatrix2=!0}constructor(t,e,i,s){this.elements=[1,0,0,1],t!==void 0&&this.set(t,e,i,s)}identity(){return this.set(1,0,0,1),this}fromArray(t,e=0){for(let i=0;i<4;i++)this.elements[i]=t[i+e];return this}set(t,e,i,s){let r=this.elements;return r[0]=t,r[2]=e,r[1]=i,r[3]=s,this}};function dc(n,t,e,i){let s=M0(i);switch(e){case ec:return n*t;case ic:return n*t/s.components*s.byteLength;case Ho:return n*t/s.components*s.byteLength;case gi:return n*t*2/s.components*s.byteLength;case Wo:return n*t*2/s.components*s.byteLength;case nc:return n*t*3/s.components*s.byteLength;case sn:return n*t*4/s.components*s.byteLength;case Xo:return n*t*4/s.components*s.byteLength;case ir:case sr:return Math.floor((n+3)/4)*Math.floor((t+3)/4)*8;case rr:case or:return Math.floor((n+3)/4)*Math.floor((t+3)/4)*16;case $o:case Zo:return Math.max(n,16)*Math.max(t,8)/4;case qo:case Yo:return Math.max(n,8)*Math.max(t,8)/2;case Jo:case Ko:case Qo:case ta:return Math.floor((n+3)/4)*Math.floor((t+3)/4)*8;case jo:case ar:case ea:return Math.floor((n+3)/4)*Math.floor((t+3)/4)*16;case na:return Math.floor((n+3)/4)*Math.floor((t+3)/4)*16;case ia:return Math.floor((n+4)/5)*Math.floor((t+3)/4)*16;case sa:return Math.floor((n+4)/5)*Math.floor((t+4)/5)*16;case ra:return Math.floor((n+5)/6)*Math.floor((t+4)/5)*16;case oa:return Math.floor((n+5)/6)*Math.floor((t+5)/6)*16;case aa:return Math.floor((n+7)/8)*Math.floor((t+4)/5)*16;case la:return Math.floor((n+7)/8)*Math.floor((t+5)/6)*16;case ca:return Math.floor((n+7)/8)*Math.floor((t+7)/8)*16;case ha:return Math.floor((n+9)/10)*Math.floor((t+4)/5)*16;case ua:return Math.floor((n+9)/10)*Math.floor((t+5)/6)*16;case da:return Math.floor((n+9)/10)*Math.floor((t+7)/8)*16;case fa:return Math.floor((n+9)/10)*Math.floor((t+9)/10)*16;case pa:return Math.floor((n+11)/12)*Math.floor((t+9)/10)*16;case ma:return Math.floor((n+11)/12)*Math.floor((t+11)/12)*16;case ga:case _a:case xa:return Math.ceil(n/4)*Math.ceil(t/4)*16;case va:case ya:return Math.ceil(n/4)*Math.ceil(t/4)*8;case lr:case Ma:return Math.ceil(n/4)*Math.ceil(t/4)*16}throw new Error(`Unable to determine texture byte length for ${e} format.`)}function M0(n){switch(n){case en:case Kl:return{byteLength:1,components:1};case ps:case jl:case wn:return{byteLength:2,components:1};case Go:case Vo:return{byteLength:2,components:4};case bn:case zo:case nn:return{byteLength:4,components:1};case Ql:case tc:return{byteLength:4,components:3}}throw new Error(`THREE.TextureUtils: Unknown texture type ${n}.`)}typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("register",{detail:{revision:"187"}}));typeof window<"u"&&(window.__THREE__?It("WARNING: Multiple instances of Three.js being imported."):window.__THREE__="187");/**
 * @license
 * Copyright 2010-2026 Three.js Authors
 * SPDX-License-Identifier: MIT
 */function Ld(){let n=null,t=!1,e=null,i=null;function s(r,o){i=n.requestAnimationFrame(s),e(r,o)}return{start:function(){t!==!0&&e!==null&&n!==null&&(i=n.requestAnimationFrame(s),t=!0)},stop:function(){n!==null&&n.cancelAnimationFrame(i),t=!1},setAnimationLoop:function(r){e=r},setContext:function(r){n=r}}}function b0(n){let t=new WeakMap;function e(a,l){let c=a.array,h=a.usage,d=c.byteLength,u=n.createBuffer();n.bindBuffer(l,u),n.bufferData(l,c,h),a.onUploadCallback();let f;if(c instanceof Float32Array)f=n.FLOAT;else if(typeof Float16Array<"u"&&c instanceof Float16Array)f=n.HALF_FLOAT;else if(c instanceof Uint16Array)a.isFloat16BufferAttribute?f=n.HALF_FLOAT:f=n.UNSIGNED_SHORT;else if(c instanceof Int16Array)f=n.SHORT;else if(c instanceof Uint32Array)f=n.UNSIGNED_INT;else if(c instanceof Int32Array)f=n.INT;else if(c instanceof Int8Array)f=n.BYTE;else if(c instanceof Uint8Array)f=n.UNSIGNED_BYTE;else if(c instanceof Uint8ClampedArray)f=n.UNSIGNED_BYTE;else throw new Error("THREE.WebGLAttributes: Unsupported buffer data format: "+c);return{buffer:u,type:f,bytesPerElement:c.BYTES_PER_ELEMENT,version:a.version,size:d}}function i(a,l,c){let h=l.array,d=l.updateRanges;if(n.bindBuffer(c,a),d.length===0)n.bufferSubData(c,0,h);else{d.sort((f,g)=>f.start-g.start);let u=0;for(let f=1;f<d.length;f++){let g=d[u],M=d[f];M.start<=g.start+g.count+1?g.count=Math.max(g.count,M.start+M.count-g.start):(++u,d[u]=M)}d.length=u+1;for(let f=0,g=d.length;f<g;f++){let M=d[f];n.bufferSubData(c,M.start*h.BYTES_PER_ELEMENT,h,M.start,M.count)}l.clearUpdateRanges()}l.onUploadCallback()}function s(a){return a.isInterleavedBufferAttribute&&(a=a.data),t.get(a)}function r(a){a.isInterleavedBufferAttribute&&(a=a.data);let l=t.get(a);l&&(n.deleteBuffer(l.buffer),t.delete(a))}function o(a,l){if(a.isInterleavedBufferAttribute&&(a=a.data),a.isGLBufferAttribute){let h=t.get(a);(!h||h.version<a.version)&&t.set(a,{buffer:a.buffer,type:a.type,bytesPerElement:a.elementSize,version:a.version});return}let c=t.get(a);if(c===void 0)t.set(a,e(a,l));else if(c.version<a.version){if(c.size!==a.array.byteLength)throw new Error("THREE.WebGLAttributes: The size of the buffer attribute's array buffer does not match the original size. Resizing buffer attributes is not supported.");i(c.buffer,a,l),c.version=a.version}}return{get:s,remove:r,update:o}}var w0=`#ifdef USE_ALPHAHASH
	if ( diffuseColor.a < getAlphaHashThreshold( vPosition ) ) discard;
#endif`,T0=`#ifdef USE_ALPHAHASH
	const float ALPHA_HASH_SCALE = 0.05;
	float hash2D( vec2 value ) {
		return fract( 1.0e4 * sin( 17.0 * value.x + 0.1 * value.y ) * ( 0.1 + abs( sin( 13.0 * value.y + value.x ) ) ) );
	}
	float hash3D( vec3 value ) {
		return hash2D( vec2( hash2D( value.xy ), value.z ) );
	}
	float getAlphaHashThreshold( vec3 position ) {
		float maxDeriv = max(
			length( dFdx( position.xyz ) ),
			length( dFdy( position.xyz ) )
		);
		float pixScale = 1.0 / ( ALPHA_HASH_SCALE * maxDeriv );
		vec2 pixScales = vec2(
			exp2( floor( log2( pixScale ) ) ),
			exp2( ceil( log2( pixScale ) ) )
		);
		vec2 alpha = vec2(
			hash3D( floor( pixScales.x * position.xyz ) ),
			hash3D( floor( pixScales.y * position.xyz ) )
		);
		float lerpFactor = fract( log2( pixScale ) );
		float x = ( 1.0 - lerpFactor ) * alpha.x + lerpFactor * alpha.y;
		float a = min( lerpFactor, 1.0 - lerpFactor );
		vec3 cases = vec3(
			x * x / ( 2.0 * a * ( 1.0 - a ) ),
			( x - 0.5 * a ) / ( 1.0 - a ),
			1.0 - ( ( 1.0 - x ) * ( 1.0 - x ) / ( 2.0 * a * ( 1.0 - a ) ) )
		);
		float threshold = ( x < ( 1.0 - a ) )
			? ( ( x < a ) ? cases.x : cases.y )
			: cases.z;
		return clamp( threshold , 1.0e-6, 1.0 );
	}
#endif`,A0=`#ifdef USE_ALPHAMAP
	diffuseColor.a *= texture2D( alphaMap, vAlphaMapUv ).g;
#endif`,E0=`#ifdef USE_ALPHAMAP
	uniform sampler2D alphaMap;
#endif`,R0=`#ifdef USE_ALPHATEST
	#ifdef ALPHA_TO_COVERAGE
	diffuseColor.a = smoothstep( alphaTest, alphaTest + fwidth( diffuseColor.a ), diffuseColor.a );
	if ( diffuseColor.a == 0.0 ) discard;
	#else
	if ( diffuseColor.a < alphaTest ) discard;
	#endif
#endif`,C0=`#ifdef USE_ALPHATEST
	uniform float alphaTest;
#endif`,I0=`#ifdef USE_AOMAP
	float ambientOcclusion = ( texture2D( aoMap, vAoMapUv ).r - 1.0 ) * aoMapIntensity + 1.0;
	reflectedLight.indirectDiffuse *= ambientOcclusion;
	#if defined( USE_CLEARCOAT ) 
		clearcoatSpecularIndirect *= ambientOcclusion;
	#endif
	#if defined( USE_SHEEN ) 
		sheenSpecularIndirect *= ambientOcclusion;
	#endif
	#if defined( USE_ENVMAP ) && defined( STANDARD )
		float dotNV = saturate( dot( geometryNormal, geometryViewDir ) );
		reflectedLight.indirectSpecular *= computeSpecularOcclusion( dotNV, ambientOcclusion, material.roughness );
	#endif
#endif`,P0=`#ifdef USE_AOMAP
	uniform sampler2D aoMap;
	uniform float aoMapIntensity;
#endif`,L0=`#ifdef USE_BATCHING
	#if ! defined( GL_ANGLE_multi_draw )
	#define gl_DrawID _gl_DrawID
	uniform int _gl_DrawID;
	#endif
	uniform highp sampler2D batchingTexture;
	uniform highp usampler2D batchingIdTexture;
	mat4 getBatchingMatrix( const in float i ) {
		int size = textureSize( batchingTexture, 0 ).x;
		int j = int( i ) * 4;
		int x = j % size;
		int y = j / size;
		vec4 v1 = texelFetch( batchingTexture, ivec2( x, y ), 0 );
		vec4 v2 = texelFetch( batchingTexture, ivec2( x + 1, y ), 0 );
		vec4 v3 = texelFetch( batchingTexture, ivec2( x + 2, y ), 0 );
		vec4 v4 = texelFetch( batchingTexture, ivec2( x + 3, y ), 0 );
		return mat4( v1, v2, v3, v4 );
	}
	float getIndirectIndex( const in int i ) {
		int size = textureSize( batchingIdTexture, 0 ).x;
		int x = i % size;
		int y = i / size;
		return float( texelFetch( batchingIdTexture, ivec2( x, y ), 0 ).r );
	}
#endif
#ifdef USE_BATCHING_COLOR
	uniform sampler2D batchingColorTexture;
	vec4 getBatchingColor( const in float i ) {
		int size = textureSize( batchingColorTexture, 0 ).x;
		int j = int( i );
		int x = j % size;
		int y = j / size;
		return texelFetch( batchingColorTexture, ivec2( x, y ), 0 );
	}
#endif`,N0=`#ifdef USE_BATCHING
	mat4 batchingMatrix = getBatchingMatrix( getIndirectIndex( gl_DrawID ) );
#endif`,D0=`vec3 transformed = vec3( position );
#ifdef USE_ALPHAHASH
	vPosition = vec3( position );
#endif`,U0=`vec3 objectNormal = vec3( normal );
#ifdef USE_TANGENT
	vec3 objectTangent = vec3( tangent.xyz );
#endif`,O0=`float G_BlinnPhong_Implicit( ) {
	return 0.25;
}
float D_BlinnPhong( const in float shininess, const in float dotNH ) {
	return RECIPROCAL_PI * ( shininess * 0.5 + 1.0 ) * pow( dotNH, shininess );
}
vec3 BRDF_BlinnPhong( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in vec3 specularColor, const in float shininess ) {
	vec3 halfDir = normalize( lightDir + viewDir );
	float dotNH = saturate( dot( normal, halfDir ) );
	float dotVH = saturate( dot( viewDir, halfDir ) );
	vec3 F = F_Schlick( specularColor, 1.0, dotVH );
	float G = G_BlinnPhong_Implicit( );
	float D = D_BlinnPhong( shininess, dotNH );
	return F * ( G * D );
} // validated`,F0=`#ifdef USE_IRIDESCENCE
	const mat3 XYZ_TO_REC709 = mat3(
		 3.2404542, -0.9692660,  0.0556434,
		-1.5371385,  1.8760108, -0.2040259,
		-0.4985314,  0.0415560,  1.0572252
	);
	vec3 Fresnel0ToIor( vec3 fresnel0 ) {
		vec3 sqrtF0 = sqrt( fresnel0 );
		return ( vec3( 1.0 ) + sqrtF0 ) / ( vec3( 1.0 ) - sqrtF0 );
	}
	vec3 IorToFresnel0( vec3 transmittedIor, float incidentIor ) {
		return pow2( ( transmittedIor - vec3( incidentIor ) ) / ( transmittedIor + vec3( incidentIor ) ) );
	}
	float IorToFresnel0( float transmittedIor, float incidentIor ) {
		return pow2( ( transmittedIor - incidentIor ) / ( transmittedIor + incidentIor ));
	}
	vec3 evalSensitivity( float OPD, vec3 shift ) {
		float phase = 2.0 * PI * OPD * 1.0e-9;
		vec3 val = vec3( 5.4856e-13, 4.4201e-13, 5.2481e-13 );
		vec3 pos = vec3( 1.6810e+06, 1.7953e+06, 2.2084e+06 );
		vec3 var = vec3( 4.3278e+09, 9.3046e+09, 6.6121e+09 );
		vec3 xyz = val * sqrt( 2.0 * PI * var ) * cos( pos * phase + shift ) * exp( - pow2( phase ) * var );
		xyz.x += 9.7470e-14 * sqrt( 2.0 * PI * 4.5282e+09 ) * cos( 2.2399e+06 * phase + shift[ 0 ] ) * exp( - 4.5282e+09 * pow2( phase ) );
		xyz /= 1.0685e-7;
		vec3 rgb = XYZ_TO_REC709 * xyz;
		return rgb;
	}
	vec3 evalIridescence( float outsideIOR, float eta2, float cosTheta1, float thinFilmThickness, vec3 baseF0 ) {
		vec3 I;
		float iridescenceIOR = mix( outsideIOR, eta2, smoothstep( 0.0, 0.03, thinFilmThickness ) );
		float sinTheta2Sq = pow2( outsideIOR / iridescenceIOR ) * ( 1.0 - pow2( cosTheta1 ) );
		float cosTheta2Sq = 1.0 - sinTheta2Sq;
		if ( cosTheta2Sq < 0.0 ) {
			return vec3( 1.0 );
		}
		float cosTheta2 = sqrt( cosTheta2Sq );
		float R0 = IorToFresnel0( iridescenceIOR, outsideIOR );
		float R12 = F_Schlick( R0, 1.0, cosTheta1 );
		float T121 = 1.0 - R12;
		float phi12 = 0.0;
		if ( iridescenceIOR < outsideIOR ) phi12 = PI;
		float phi21 = PI - phi12;
		vec3 baseIOR = Fresnel0ToIor( clamp( baseF0, 0.0, 0.9999 ) );		vec3 R1 = IorToFresnel0( baseIOR, iridescenceIOR );
		vec3 R23 = F_Schlick( R1, 1.0, cosTheta2 );
		vec3 phi23 = vec3( 0.0 );
		if ( baseIOR[ 0 ] < iridescenceIOR ) phi23[ 0 ] = PI;
		if ( baseIOR[ 1 ] < iridescenceIOR ) phi23[ 1 ] = PI;
		if ( baseIOR[ 2 ] < iridescenceIOR ) phi23[ 2 ] = PI;
		float OPD = 2.0 * iridescenceIOR * thinFilmThickness * cosTheta2;
		vec3 phi = vec3( phi21 ) + phi23;
		vec3 R123 = clamp( R12 * R23, 1e-5, 0.9999 );
		vec3 r123 = sqrt( R123 );
		vec3 Rs = pow2( T121 ) * R23 / ( vec3( 1.0 ) - R123 );
		vec3 C0 = R12 + Rs;
		I = C0;
		vec3 Cm = Rs - T121;
		for ( int m = 1; m <= 2; ++ m ) {
			Cm *= r123;
			vec3 Sm = 2.0 * evalSensitivity( float( m ) * OPD, float( m ) * phi );
			I += Cm * Sm;
		}
		return max( I, vec3( 0.0 ) );
	}
#endif`,B0=`#ifdef USE_BUMPMAP
	uniform sampler2D bumpMap;
	uniform float bumpScale;
	vec2 dHdxy_fwd() {
		vec2 dSTdx = dFdx( vBumpMapUv );
		vec2 dSTdy = dFdy( vBumpMapUv );
		float Hll = bumpScale * texture2D( bumpMap, vBumpMapUv ).x;
		float dBx = bumpScale * texture2D( bumpMap, vBumpMapUv + dSTdx ).x - Hll;
		float dBy = bumpScale * texture2D( bumpMap, vBumpMapUv + dSTdy ).x - Hll;
		return vec2( dBx, dBy );
	}
	vec3 perturbNormalArb( vec3 surf_pos, vec3 surf_norm, vec2 dHdxy, float faceDirection ) {
		vec3 vSigmaX = normalize( dFdx( surf_pos.xyz ) );
		vec3 vSigmaY = normalize( dFdy( surf_pos.xyz ) );
		vec3 vN = surf_norm;
		vec3 R1 = cross( vSigmaY, vN );
		vec3 R2 = cross( vN, vSigmaX );
		float fDet = dot( vSigmaX, R1 ) * faceDirection;
		vec3 vGrad = sign( fDet ) * ( dHdxy.x * R1 + dHdxy.y * R2 );
		return normalize( abs( fDet ) * surf_norm - vGrad );
	}
#endif`,k0=`#if NUM_CLIPPING_PLANES > 0
	vec4 plane;
	#ifdef ALPHA_TO_COVERAGE
		float distanceToPlane, distanceGradient;
		float clipOpacity = 1.0;
		#pragma unroll_loop_start
		for ( int i = 0; i < UNION_CLIPPING_PLANES; i ++ ) {
			plane = clippingPlanes[ i ];
			distanceToPlane = - dot( vClipPosition, plane.xyz ) + plane.w;
			distanceGradient = fwidth( distanceToPlane ) / 2.0;
			clipOpacity *= smoothstep( - distanceGradient, distanceGradient, distanceToPlane );
			if ( clipOpacity == 0.0 ) discard;
		}
		#pragma unroll_loop_end
		#if UNION_CLIPPING_PLANES < NUM_CLIPPING_PLANES
			float unionClipOpacity = 1.0;
			#pragma unroll_loop_start
			for ( int i = UNION_CLIPPING_PLANES; i < NUM_CLIPPING_PLANES; i ++ ) {
				plane = clippingPlanes[ i ];
				distanceToPlane = - dot( vClipPosition, plane.xyz ) + plane.w;
				distanceGradient = fwidth( distanceToPlane ) / 2.0;
				unionClipOpacity *= 1.0 - smoothstep( - distanceGradient, distanceGradient, distanceToPlane );
			}
			#pragma unroll_loop_end
			clipOpacity *= 1.0 - unionClipOpacity;
		#endif
		diffuseColor.a *= clipOpacity;
		if ( diffuseColor.a == 0.0 ) discard;
	#else
		#pragma unroll_loop_start
		for ( int i = 0; i < UNION_CLIPPING_PLANES; i ++ ) {
			plane = clippingPlanes[ i ];
			if ( dot( vClipPosition, plane.xyz ) > plane.w ) discard;
		}
		#pragma unroll_loop_end
		#if UNION_CLIPPING_PLANES < NUM_CLIPPING_PLANES
			bool clipped = true;
			#pragma unroll_loop_start
			for ( int i = UNION_CLIPPING_PLANES; i < NUM_CLIPPING_PLANES; i ++ ) {
				plane = clippingPlanes[ i ];
				clipped = ( dot( vClipPosition, plane.xyz ) > plane.w ) && clipped;
			}
			#pragma unroll_loop_end
			if ( clipped ) discard;
		#endif
	#endif
#endif`,z0=`#if NUM_CLIPPING_PLANES > 0
	varying vec3 vClipPosition;
	uniform vec4 clippingPlanes[ NUM_CLIPPING_PLANES ];
#endif`,G0=`#if NUM_CLIPPING_PLANES > 0
	varying vec3 vClipPosition;
#endif`,V0=`#if NUM_CLIPPING_PLANES > 0
	vClipPosition = - mvPosition.xyz;
#endif`,H0=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA )
	diffuseColor *= vColor;
#endif`,W0=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA )
	varying vec4 vColor;
#endif`,X0=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA ) || defined( USE_INSTANCING_COLOR ) || defined( USE_BATCHING_COLOR )
	varying vec4 vColor;
#endif`,q0=`#if defined( USE_COLOR ) || defined( USE_COLOR_ALPHA ) || defined( USE_INSTANCING_COLOR ) || defined( USE_BATCHING_COLOR )
	vColor = vec4( 1.0 );
#endif
#ifdef USE_COLOR_ALPHA
	vColor *= color;
#elif defined( USE_COLOR )
	vColor.rgb *= color;
#endif
#ifdef USE_INSTANCING_COLOR
	vColor.rgb *= instanceColor.rgb;
#endif
#ifdef USE_BATCHING_COLOR
	vColor *= getBatchingColor( getIndirectIndex( gl_DrawID ) );
#endif`,$0=`#define PI 3.141592653589793
#define PI2 6.283185307179586
#define PI_HALF 1.5707963267948966
#define RECIPROCAL_PI 0.3183098861837907
#define RECIPROCAL_PI2 0.15915494309189535
#define EPSILON 1e-6
#ifndef saturate
#define saturate( a ) clamp( a, 0.0, 1.0 )
#endif
#define whiteComplement( a ) ( 1.0 - saturate( a ) )
float pow2( const in float x ) { return x*x; }
vec3 pow2( const in vec3 x ) { return x*x; }
float pow3( const in float x ) { return x*x*x; }
float pow4( const in float x ) { float x2 = x*x; return x2*x2; }
float max3( const in vec3 v ) { return max( max( v.x, v.y ), v.z ); }
float average( const in vec3 v ) { return dot( v, vec3( 0.3333333 ) ); }
highp float rand( const in vec2 uv ) {
	const highp float a = 12.9898, b = 78.233, c = 43758.5453;
	highp float dt = dot( uv.xy, vec2( a,b ) ), sn = mod( dt, PI );
	return fract( sin( sn ) * c );
}
#ifdef HIGH_PRECISION
	float precisionSafeLength( vec3 v ) { return length( v ); }
#else
	float precisionSafeLength( vec3 v ) {
		float maxComponent = max3( abs( v ) );
		return length( v / maxComponent ) * maxComponent;
	}
#endif
struct IncidentLight {
	vec3 color;
	vec3 direction;
	bool visible;
};
struct ReflectedLight {
	vec3 directDiffuse;
	vec3 directSpecular;
	vec3 indirectDiffuse;
	vec3 indirectSpecular;
};
#ifdef USE_ALPHAHASH
	varying vec3 vPosition;
#endif
vec3 transformDirection( in vec3 dir, in mat4 matrix ) {
	return normalize( ( matrix * vec4( dir, 0.0 ) ).xyz );
}
#define inverseTransformDirection transformDirectionByInverseViewMatrix
vec3 transformNormalByInverseViewMatrix( in vec3 normal, in mat4 viewMatrix ) {
	return normalize( ( vec4( normal, 0.0 ) * viewMatrix ).xyz );
}
vec3 transformDirectionByInverseViewMatrix( in vec3 dir, in mat4 viewMatrix ) {
	return normalize( ( vec4( dir, 0.0 ) * viewMatrix ).xyz );
}
bool isPerspectiveMatrix( mat4 m ) {
	return m[ 2 ][ 3 ] == - 1.0;
}
vec2 equirectUv( in vec3 dir ) {
	float u = atan( dir.z, dir.x ) * RECIPROCAL_PI2 + 0.5;
	float v = asin( clamp( dir.y, - 1.0, 1.0 ) ) * RECIPROCAL_PI + 0.5;
	return vec2( u, v );
}
vec3 BRDF_Lambert( const in vec3 diffuseColor ) {
	return RECIPROCAL_PI * diffuseColor;
}
vec3 F_Schlick( const in vec3 f0, const in float f90, const in float dotVH ) {
	float fresnel = exp2( ( - 5.55473 * dotVH - 6.98316 ) * dotVH );
	return f0 * ( 1.0 - fresnel ) + ( f90 * fresnel );
}
float F_Schlick( const in float f0, const in float f90, const in float dotVH ) {
	float fresnel = exp2( ( - 5.55473 * dotVH - 6.98316 ) * dotVH );
	return f0 * ( 1.0 - fresnel ) + ( f90 * fresnel );
} // validated`,Y0=`vec3 transformedNormal = objectNormal;
#ifdef USE_TANGENT
	vec3 transformedTangent = objectTangent;
#endif
#ifdef USE_BATCHING
	mat3 bm = mat3( batchingMatrix );
	transformedNormal /= vec3( dot( bm[ 0 ], bm[ 0 ] ), dot( bm[ 1 ], bm[ 1 ] ), dot( bm[ 2 ], bm[ 2 ] ) );
	transformedNormal = bm * transformedNormal;
	#ifdef USE_TANGENT
		transformedTangent = bm * transformedTangent;
	#endif
#endif
#ifdef USE_INSTANCING
	mat3 im = mat3( instanceMatrix );
	transformedNormal /= vec3( dot( im[ 0 ], im[ 0 ] ), dot( im[ 1 ], im[ 1 ] ), dot( im[ 2 ], im[ 2 ] ) );
	transformedNormal = im * transformedNormal;
	#ifdef USE_TANGENT
		transformedTangent = im * transformedTangent;
	#endif
#endif
transformedNormal = normalMatrix * transformedNormal;
#ifdef FLIP_SIDED
	transformedNormal = - transformedNormal;
#endif
#ifdef USE_TANGENT
	transformedTangent = ( modelViewMatrix * vec4( transformedTangent, 0.0 ) ).xyz;
#endif`,Z0=`#ifdef USE_DISPLACEMENTMAP
	uniform sampler2D displacementMap;
	uniform float displacementScale;
	uniform float displacementBias;
#endif`,J0=`#ifdef USE_DISPLACEMENTMAP
	transformed += normalize( objectNormal ) * ( texture2D( displacementMap, vDisplacementMapUv ).x * displacementScale + displacementBias );
#endif`,K0=`#ifdef USE_EMISSIVEMAP
	vec4 emissiveColor = texture2D( emissiveMap, vEmissiveMapUv );
	#ifdef DECODE_VIDEO_TEXTURE_EMISSIVE
		emissiveColor = sRGBTransferEOTF( emissiveColor );
	#endif
	totalEmissiveRadiance *= emissiveColor.rgb;
#endif`,j0=`#ifdef USE_EMISSIVEMAP
	uniform sampler2D emissiveMap;
#endif`,Q0="gl_FragColor = linearToOutputTexel( gl_FragColor );",t_=`vec4 LinearTransferOETF( in vec4 value ) {
	return value;
}
vec4 sRGBTransferEOTF( in vec4 value ) {
	return vec4( mix( pow( value.rgb * 0.9478672986 + vec3( 0.0521327014 ), vec3( 2.4 ) ), value.rgb * 0.0773993808, vec3( lessThanEqual( value.rgb, vec3( 0.04045 ) ) ) ), value.a );
}
vec4 sRGBTransferOETF( in vec4 value ) {
	return vec4( mix( pow( value.rgb, vec3( 0.41666 ) ) * 1.055 - vec3( 0.055 ), value.rgb * 12.92, vec3( lessThanEqual( value.rgb, vec3( 0.0031308 ) ) ) ), value.a );
}`,e_=`#ifdef USE_ENVMAP
	#ifdef ENV_WORLDPOS
		vec3 cameraToFrag;
		if ( isOrthographic ) {
			cameraToFrag = normalize( vec3( - viewMatrix[ 0 ][ 2 ], - viewMatrix[ 1 ][ 2 ], - viewMatrix[ 2 ][ 2 ] ) );
		} else {
			cameraToFrag = normalize( vWorldPosition - cameraPosition );
		}
		vec3 worldNormal = transformNormalByInverseViewMatrix( normal, viewMatrix );
		#ifdef ENVMAP_MODE_REFLECTION
			vec3 reflectVec = reflect( cameraToFrag, worldNormal );
		#else
			vec3 reflectVec = refract( cameraToFrag, worldNormal, refractionRatio );
		#endif
	#else
		vec3 reflectVec = vReflect;
	#endif
	#ifdef ENVMAP_TYPE_CUBE
		vec4 envColor = textureCube( envMap, envMapRotation * reflectVec );
		#ifdef ENVMAP_BLENDING_MULTIPLY
			outgoingLight = mix( outgoingLight, outgoingLight * envColor.xyz, specularStrength * reflectivity );
		#elif defined( ENVMAP_BLENDING_MIX )
			outgoingLight = mix( outgoingLight, envColor.xyz, specularStrength * reflectivity );
		#elif defined( ENVMAP_BLENDING_ADD )
			outgoingLight += envColor.xyz * specularStrength * reflectivity;
		#endif
	#endif
#endif`,n_=`#ifdef USE_ENVMAP
	uniform float envMapIntensity;
	uniform mat3 envMapRotation;
	uniform samplerCube envMap;
	#ifdef ENVMAP_TYPE_PMREM
		float roughnessToMip( const in float roughness ) {
			float r = clamp( roughness, 0.0, 1.0 );
			return ENVMAP_MAX_LOD * r * ( 2.0 - r );
		}
	#endif
#endif`,i_=`#ifdef USE_ENVMAP
	uniform float reflectivity;
	#if defined( USE_BUMPMAP ) || defined( USE_NORMALMAP ) || defined( PHONG ) || defined( LAMBERT )
		#define ENV_WORLDPOS
	#endif
	#ifdef ENV_WORLDPOS
		varying vec3 vWorldPosition;
		uniform float refractionRatio;
	#else
		varying vec3 vReflect;
	#endif
#endif`,s_=`#ifdef USE_ENVMAP
	#if defined( USE_BUMPMAP ) || defined( USE_NORMALMAP ) || defined( PHONG ) || defined( LAMBERT )
		#define ENV_WORLDPOS
	#endif
	#ifdef ENV_WORLDPOS
		
		varying vec3 vWorldPosition;
	#else
		varying vec3 vReflect;
		uniform float refractionRatio;
	#endif
#endif`,r_=`#ifdef USE_ENVMAP
	#ifdef ENV_WORLDPOS
		vWorldPosition = worldPosition.xyz;
	#else
		vec3 cameraToVertex;
		if ( isOrthographic ) {
			cameraToVertex = normalize( vec3( - viewMatrix[ 0 ][ 2 ], - viewMatrix[ 1 ][ 2 ], - viewMatrix[ 2 ][ 2 ] ) );
		} else {
			cameraToVertex = normalize( worldPosition.xyz - cameraPosition );
		}
		vec3 worldNormal = transformNormalByInverseViewMatrix( transformedNormal, viewMatrix );
		#ifdef ENVMAP_MODE_REFLECTION
			vReflect = reflect( cameraToVertex, worldNormal );
		#else
			vReflect = refract( cameraToVertex, worldNormal, refractionRatio );
		#endif
	#endif
#endif`,o_=`#ifdef USE_FOG
	vFogDepth = - mvPosition.z;
#endif`,a_=`#ifdef USE_FOG
	varying float vFogDepth;
#endif`,l_=`#ifdef USE_FOG
	#ifdef FOG_EXP2
		float fogFactor = 1.0 - exp( - fogDensity * fogDensity * vFogDepth * vFogDepth );
	#else
		float fogFactor = smoothstep( fogNear, fogFar, vFogDepth );
	#endif
	gl_FragColor.rgb = mix( gl_FragColor.rgb, fogColor, fogFactor );
#endif`,c_=`#ifdef USE_FOG
	uniform vec3 fogColor;
	varying float vFogDepth;
	#ifdef FOG_EXP2
		uniform float fogDensity;
	#else
		uniform float fogNear;
		uniform float fogFar;
	#endif
#endif`,h_=`#ifdef USE_GRADIENTMAP
	uniform sampler2D gradientMap;
#endif
vec3 getGradientIrradiance( vec3 normal, vec3 lightDirection ) {
	float dotNL = dot( normal, lightDirection );
	vec2 coord = vec2( dotNL * 0.5 + 0.5, 0.0 );
	#ifdef USE_GRADIENTMAP
		return vec3( texture2D( gradientMap, coord ).r );
	#else
		vec2 fw = fwidth( coord ) * 0.5;
		return mix( vec3( 0.7 ), vec3( 1.0 ), smoothstep( 0.7 - fw.x, 0.7 + fw.x, coord.x ) );
	#endif
}`,u_=`#ifdef USE_LIGHTMAP
	uniform sampler2D lightMap;
	uniform float lightMapIntensity;
#endif`,d_=`LambertMaterial material;
material.diffuseColor = diffuseColor.rgb;
material.specularStrength = specularStrength;`,f_=`varying vec3 vViewPosition;
struct LambertMaterial {
	vec3 diffuseColor;
	float specularStrength;
};
void RE_Direct_Lambert( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
	float dotNL = saturate( dot( geometryNormal, directLight.direction ) );
	vec3 irradiance = dotNL * directLight.color;
	reflectedLight.directDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
void RE_IndirectDiffuse_Lambert( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
	reflectedLight.indirectDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
#define RE_Direct				RE_Direct_Lambert
#define RE_IndirectDiffuse		RE_IndirectDiffuse_Lambert`,p_=`uniform bool receiveShadow;
uniform vec3 ambientLightColor;
#if defined( USE_LIGHT_PROBES )
	uniform vec3 lightProbe[ 9 ];
#endif
vec3 shGetIrradianceAt( in vec3 normal, in vec3 shCoefficients[ 9 ] ) {
	float x = normal.x, y = normal.y, z = normal.z;
	vec3 result = shCoefficients[ 0 ] * 0.886227;
	result += shCoefficients[ 1 ] * 2.0 * 0.511664 * y;
	result += shCoefficients[ 2 ] * 2.0 * 0.511664 * z;
	result += shCoefficients[ 3 ] * 2.0 * 0.511664 * x;
	result += shCoefficients[ 4 ] * 2.0 * 0.429043 * x * y;
	result += shCoefficients[ 5 ] * 2.0 * 0.429043 * y * z;
	result += shCoefficients[ 6 ] * ( 0.743125 * z * z - 0.247708 );
	result += shCoefficients[ 7 ] * 2.0 * 0.429043 * x * z;
	result += shCoefficients[ 8 ] * 0.429043 * ( x * x - y * y );
	return result;
}
vec3 getLightProbeIrradiance( const in vec3 lightProbe[ 9 ], const in vec3 normal ) {
	vec3 worldNormal = transformNormalByInverseViewMatrix( normal, viewMatrix );
	vec3 irradiance = shGetIrradianceAt( worldNormal, lightProbe );
	return irradiance;
}
vec3 getAmbientLightIrradiance( const in vec3 ambientLightColor ) {
	vec3 irradiance = ambientLightColor;
	return irradiance;
}
float getDistanceAttenuation( const in float lightDistance, const in float cutoffDistance, const in float decayExponent ) {
	float distanceFalloff = 1.0 / max( pow( lightDistance, decayExponent ), 0.01 );
	if ( cutoffDistance > 0.0 ) {
		distanceFalloff *= pow2( saturate( 1.0 - pow4( lightDistance / cutoffDistance ) ) );
	}
	return distanceFalloff;
}
float getSpotAttenuation( const in float coneCosine, const in float penumbraCosine, const in float angleCosine ) {
	return smoothstep( coneCosine, penumbraCosine, angleCosine );
}
#if NUM_SUN_LIGHTS > 0
	struct SunLight {
		vec3 direction;
		vec3 color;
	};
	uniform SunLight sunLights[ NUM_SUN_LIGHTS ];
	void getSunLightInfo( const in SunLight sunLight, out IncidentLight light ) {
		light.color = sunLight.color;
		light.direction = sunLight.direction;
		light.visible = true;
	}
#endif
#if NUM_DIR_LIGHTS > 0
	struct DirectionalLight {
		vec3 direction;
		vec3 color;
	};
	uniform DirectionalLight directionalLights[ NUM_DIR_LIGHTS ];
	void getDirectionalLightInfo( const in DirectionalLight directionalLight, out IncidentLight light ) {
		light.color = directionalLight.color;
		light.direction = directionalLight.direction;
		light.visible = true;
	}
#endif
#if NUM_POINT_LIGHTS > 0
	struct PointLight {
		vec3 position;
		vec3 color;
		float distance;
		float decay;
	};
	uniform PointLight pointLights[ NUM_POINT_LIGHTS ];
	void getPointLightInfo( const in PointLight pointLight, const in vec3 geometryPosition, out IncidentLight light ) {
		vec3 lVector = pointLight.position - geometryPosition;
		light.direction = normalize( lVector );
		float lightDistance = length( lVector );
		light.color = pointLight.color;
		light.color *= getDistanceAttenuation( lightDistance, pointLight.distance, pointLight.decay );
		light.visible = ( light.color != vec3( 0.0 ) );
	}
#endif
#if NUM_SPOT_LIGHTS > 0
	struct SpotLight {
		vec3 position;
		vec3 direction;
		vec3 color;
		float distance;
		float decay;
		float coneCos;
		float penumbraCos;
	};
	uniform SpotLight spotLights[ NUM_SPOT_LIGHTS ];
	void getSpotLightInfo( const in SpotLight spotLight, const in vec3 geometryPosition, out IncidentLight light ) {
		vec3 lVector = spotLight.position - geometryPosition;
		light.direction = normalize( lVector );
		float angleCos = dot( light.direction, spotLight.direction );
		float spotAttenuation = getSpotAttenuation( spotLight.coneCos, spotLight.penumbraCos, angleCos );
		if ( spotAttenuation > 0.0 ) {
			float lightDistance = length( lVector );
			light.color = spotLight.color * spotAttenuation;
			light.color *= getDistanceAttenuation( lightDistance, spotLight.distance, spotLight.decay );
			light.visible = ( light.color != vec3( 0.0 ) );
		} else {
			light.color = vec3( 0.0 );
			light.visible = false;
		}
	}
#endif
#if NUM_RECT_AREA_LIGHTS > 0
	struct RectAreaLight {
		vec3 color;
		vec3 position;
		vec3 halfWidth;
		vec3 halfHeight;
	};
	uniform sampler2D ltc_1;	uniform sampler2D ltc_2;
	uniform RectAreaLight rectAreaLights[ NUM_RECT_AREA_LIGHTS ];
#endif
#if NUM_HEMI_LIGHTS > 0
	struct HemisphereLight {
		vec3 direction;
		vec3 skyColor;
		vec3 groundColor;
	};
	uniform HemisphereLight hemisphereLights[ NUM_HEMI_LIGHTS ];
	vec3 getHemisphereLightIrradiance( const in HemisphereLight hemiLight, const in vec3 normal ) {
		float dotNL = dot( normal, hemiLight.direction );
		float hemiDiffuseWeight = 0.5 * dotNL + 0.5;
		vec3 irradiance = mix( hemiLight.groundColor, hemiLight.skyColor, hemiDiffuseWeight );
		return irradiance;
	}
#endif
#include <lightprobes_pars_fragment>`,m_=`#ifdef USE_ENVMAP
	vec3 getIBLIrradiance( const in vec3 normal ) {
		#ifdef ENVMAP_TYPE_PMREM
			vec3 worldNormal = transformNormalByInverseViewMatrix( normal, viewMatrix );
			vec4 envMapColor = textureLod( envMap, envMapRotation * worldNormal, ENVMAP_MAX_LOD );
			return PI * envMapColor.rgb * envMapIntensity;
		#else
			return vec3( 0.0 );
		#endif
	}
	vec3 getIBLRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness ) {
		#ifdef ENVMAP_TYPE_PMREM
			vec3 reflectVec = reflect( - viewDir, normal );
			reflectVec = normalize( mix( reflectVec, normal, pow4( roughness ) ) );
			reflectVec = transformDirectionByInverseViewMatrix( reflectVec, viewMatrix );
			vec4 envMapColor = textureLod( envMap, envMapRotation * reflectVec, roughnessToMip( roughness ) );
			return envMapColor.rgb * envMapIntensity;
		#else
			return vec3( 0.0 );
		#endif
	}
	#ifdef USE_RETROREFLECTION
		vec3 getIBLRetroRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness ) {
			#ifdef ENVMAP_TYPE_PMREM
				vec3 retroVec = normalize( mix( viewDir, normal, pow4( roughness ) ) );
				retroVec = transformDirectionByInverseViewMatrix( retroVec, viewMatrix );
				vec4 envMapColor = textureLod( envMap, envMapRotation * retroVec, roughnessToMip( roughness ) );
				return envMapColor.rgb * envMapIntensity;
			#else
				return vec3( 0.0 );
			#endif
		}
	#endif
	#ifdef USE_ANISOTROPY
		vec3 getIBLAnisotropyRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness, const in vec3 bitangent, const in float anisotropy ) {
			#ifdef ENVMAP_TYPE_PMREM
				vec3 bentNormal = cross( bitangent, viewDir );
				bentNormal = normalize( cross( bentNormal, bitangent ) );
				bentNormal = normalize( mix( bentNormal, normal, pow2( pow2( 1.0 - anisotropy * ( 1.0 - roughness ) ) ) ) );
				return getIBLRadiance( viewDir, bentNormal, roughness );
			#else
				return vec3( 0.0 );
			#endif
		}
		#ifdef USE_RETROREFLECTION
			vec3 getIBLAnisotropyRetroRadiance( const in vec3 viewDir, const in vec3 normal, const in float roughness, const in vec3 bitangent, const in float anisotropy ) {
				#ifdef ENVMAP_TYPE_PMREM
					vec3 bentNormal = cross( bitangent, viewDir );
					bentNormal = normalize( cross( bentNormal, bitangent ) );
					bentNormal = normalize( mix( bentNormal, normal, pow2( pow2( 1.0 - anisotropy * ( 1.0 - roughness ) ) ) ) );
					return getIBLRetroRadiance( viewDir, bentNormal, roughness );
				#else
					return vec3( 0.0 );
				#endif
			}
		#endif
	#endif
#endif`,g_=`ToonMaterial material;
material.diffuseColor = diffuseColor.rgb;`,__=`varying vec3 vViewPosition;
struct ToonMaterial {
	vec3 diffuseColor;
};
void RE_Direct_Toon( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in ToonMaterial material, inout ReflectedLight reflectedLight ) {
	vec3 irradiance = getGradientIrradiance( geometryNormal, directLight.direction ) * directLight.color;
	reflectedLight.directDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
void RE_IndirectDiffuse_Toon( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in ToonMaterial material, inout ReflectedLight reflectedLight ) {
	reflectedLight.indirectDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
#define RE_Direct				RE_Direct_Toon
#define RE_IndirectDiffuse		RE_IndirectDiffuse_Toon`,x_=`BlinnPhongMaterial material;
material.diffuseColor = diffuseColor.rgb;
material.specularColor = specular;
material.specularShininess = shininess;
material.specularStrength = specularStrength;`,v_=`varying vec3 vViewPosition;
struct BlinnPhongMaterial {
	vec3 diffuseColor;
	vec3 specularColor;
	float specularShininess;
	float specularStrength;
};
void RE_Direct_BlinnPhong( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in BlinnPhongMaterial material, inout ReflectedLight reflectedLight ) {
	float dotNL = saturate( dot( geometryNormal, directLight.direction ) );
	vec3 irradiance = dotNL * directLight.color;
	reflectedLight.directDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
	reflectedLight.directSpecular += irradiance * BRDF_BlinnPhong( directLight.direction, geometryViewDir, geometryNormal, material.specularColor, material.specularShininess ) * material.specularStrength;
}
void RE_IndirectDiffuse_BlinnPhong( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in BlinnPhongMaterial material, inout ReflectedLight reflectedLight ) {
	reflectedLight.indirectDiffuse += irradiance * BRDF_Lambert( material.diffuseColor );
}
#define RE_Direct				RE_Direct_BlinnPhong
#define RE_IndirectDiffuse		RE_IndirectDiffuse_BlinnPhong`,y_=`PhysicalMaterial material;
material.diffuseColor = diffuseColor.rgb;
material.diffuseContribution = diffuseColor.rgb * ( 1.0 - metalnessFactor );
material.metalness = metalnessFactor;
vec3 dxy = max( abs( dFdx( nonPerturbedNormal ) ), abs( dFdy( nonPerturbedNormal ) ) );
float geometryRoughness = max( max( dxy.x, dxy.y ), dxy.z );
material.roughness = max( roughnessFactor, 0.045 );
material.roughness += geometryRoughness;
material.roughness = min( material.roughness, 1.0 );
#ifdef USE_DIFFUSE_ROUGHNESS
	float diffuseRoughnessFactor = diffuseRoughness;
	#ifdef USE_DIFFUSE_ROUGHNESSMAP
		diffuseRoughnessFactor *= texture2D( diffuseRoughnessMap, vDiffuseRoughnessMapUv ).r;
	#endif
	material.diffuseRoughness = saturate( diffuseRoughnessFactor );
#endif
#ifdef IOR
	material.ior = ior;
	#ifdef USE_SPECULAR
		float specularIntensityFactor = specularIntensity;
		vec3 specularColorFactor = specularColor;
		#ifdef USE_SPECULAR_COLORMAP
			specularColorFactor *= texture2D( specularColorMap, vSpecularColorMapUv ).rgb;
		#endif
		#ifdef USE_SPECULAR_INTENSITYMAP
			specularIntensityFactor *= texture2D( specularIntensityMap, vSpecularIntensityMapUv ).a;
		#endif
		material.specularF90 = mix( specularIntensityFactor, 1.0, metalnessFactor );
	#else
		float specularIntensityFactor = 1.0;
		vec3 specularColorFactor = vec3( 1.0 );
		material.specularF90 = 1.0;
	#endif
	material.specularColor = min( pow2( ( material.ior - 1.0 ) / ( material.ior + 1.0 ) ) * specularColorFactor, vec3( 1.0 ) ) * specularIntensityFactor;
	material.specularColorBlended = mix( material.specularColor, diffuseColor.rgb, metalnessFactor );
#else
	material.specularColor = vec3( 0.04 );
	material.specularColorBlended = mix( material.specularColor, diffuseColor.rgb, metalnessFactor );
	material.specularF90 = 1.0;
#endif
#ifdef USE_CLEARCOAT
	material.clearcoat = clearcoat;
	material.clearcoatRoughness = clearcoatRoughness;
	material.clearcoatF0 = vec3( 0.04 );
	material.clearcoatF90 = 1.0;
	#ifdef USE_CLEARCOATMAP
		material.clearcoat *= texture2D( clearcoatMap, vClearcoatMapUv ).x;
	#endif
	#ifdef USE_CLEARCOAT_ROUGHNESSMAP
		material.clearcoatRoughness *= texture2D( clearcoatRoughnessMap, vClearcoatRoughnessMapUv ).y;
	#endif
	material.clearcoat = saturate( material.clearcoat );	material.clearcoatRoughness = max( material.clearcoatRoughness, 0.045 );
	material.clearcoatRoughness += geometryRoughness;
	material.clearcoatRoughness = min( material.clearcoatRoughness, 1.0 );
#endif
#ifdef USE_DISPERSION
	material.dispersion = dispersion;
#endif
#ifdef USE_RETROREFLECTION
	material.retroreflectivity = retroreflectivity;
#endif
#ifdef USE_IRIDESCENCE
	material.iridescence = iridescence;
	material.iridescenceIOR = iridescenceIOR;
	#ifdef USE_IRIDESCENCEMAP
		material.iridescence *= texture2D( iridescenceMap, vIridescenceMapUv ).r;
	#endif
	#ifdef USE_IRIDESCENCE_THICKNESSMAP
		material.iridescenceThickness = (iridescenceThicknessMaximum - iridescenceThicknessMinimum) * texture2D( iridescenceThicknessMap, vIridescenceThicknessMapUv ).g + iridescenceThicknessMinimum;
	#else
		material.iridescenceThickness = iridescenceThicknessMaximum;
	#endif
#endif
#ifdef USE_SHEEN
	material.sheenColor = sheenColor;
	#ifdef USE_SHEEN_COLORMAP
		material.sheenColor *= texture2D( sheenColorMap, vSheenColorMapUv ).rgb;
	#endif
	material.sheenRoughness = clamp( sheenRoughness, 0.0001, 1.0 );
	#ifdef USE_SHEEN_ROUGHNESSMAP
		material.sheenRoughness *= texture2D( sheenRoughnessMap, vSheenRoughnessMapUv ).a;
	#endif
#endif
#ifdef USE_ANISOTROPY
	#ifdef USE_ANISOTROPYMAP
		mat2 anisotropyMat = mat2( anisotropyVector.x, anisotropyVector.y, - anisotropyVector.y, anisotropyVector.x );
		vec3 anisotropyPolar = texture2D( anisotropyMap, vAnisotropyMapUv ).rgb;
		vec2 anisotropyV = anisotropyMat * normalize( 2.0 * anisotropyPolar.rg - vec2( 1.0 ) ) * anisotropyPolar.b;
	#else
		vec2 anisotropyV = anisotropyVector;
	#endif
	material.anisotropy = length( anisotropyV );
	if( material.anisotropy == 0.0 ) {
		anisotropyV = vec2( 1.0, 0.0 );
	} else {
		anisotropyV /= material.anisotropy;
		material.anisotropy = saturate( material.anisotropy );
	}
	material.alphaT = mix( pow2( material.roughness ), 1.0, pow2( material.anisotropy ) );
	material.anisotropyT = tbn[ 0 ] * anisotropyV.x + tbn[ 1 ] * anisotropyV.y;
	material.anisotropyB = tbn[ 1 ] * anisotropyV.x - tbn[ 0 ] * anisotropyV.y;
#endif`,M_=`uniform sampler2D dfgLUT;
struct PhysicalMaterial {
	vec3 diffuseColor;
	vec3 diffuseContribution;
	vec3 specularColor;
	vec3 specularColorBlended;
	float roughness;
	float metalness;
	float specularF90;
	float dispersion;
	vec2 dfg;
	vec3 multiScatteringCompensation;
	#ifdef USE_DIFFUSE_ROUGHNESS
		float diffuseRoughness;
	#endif
	#ifdef USE_RETROREFLECTION
		float retroreflectivity;
	#endif
	#ifdef USE_CLEARCOAT
		float clearcoat;
		float clearcoatRoughness;
		vec3 clearcoatF0;
		float clearcoatF90;
	#endif
	#ifdef USE_IRIDESCENCE
		float iridescence;
		float iridescenceIOR;
		float iridescenceThickness;
		vec3 iridescenceFresnel;
		vec3 iridescenceF0Dielectric;
		vec3 iridescenceF0Metallic;
	#endif
	#ifdef USE_SHEEN
		vec3 sheenColor;
		float sheenRoughness;
	#endif
	#ifdef IOR
		float ior;
	#endif
	#ifdef USE_TRANSMISSION
		float transmission;
		float transmissionAlpha;
		float thickness;
		float attenuationDistance;
		vec3 attenuationColor;
	#endif
	#ifdef USE_ANISOTROPY
		float anisotropy;
		float alphaT;
		vec3 anisotropyT;
		vec3 anisotropyB;
	#endif
};
vec3 clearcoatSpecularDirect = vec3( 0.0 );
vec3 clearcoatSpecularIndirect = vec3( 0.0 );
vec3 sheenSpecularDirect = vec3( 0.0 );
vec3 sheenSpecularIndirect = vec3(0.0 );
vec3 Schlick_to_F0( const in vec3 f, const in float f90, const in float dotVH ) {
    float x = clamp( 1.0 - dotVH, 0.0, 1.0 );
    float x2 = x * x;
    float x5 = clamp( x * x2 * x2, 0.0, 0.9999 );
    return ( f - vec3( f90 ) * x5 ) / ( 1.0 - x5 );
}
#ifdef USE_DIFFUSE_ROUGHNESS
	const float EON_EPSILON = 1e-7;
	float FON_DirectionalAlbedo( const in float mu, const in float roughness, const in float A ) {
		float muComp = 1.0 - mu;
		float gOverPi = muComp * ( 0.0571085289 + muComp * ( 0.491881867 + muComp * ( - 0.332181442 + muComp * 0.0714429953 ) ) );
		return A * ( 1.0 + roughness * gOverPi );
	}
	vec3 BRDF_EON( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in vec3 diffuseColor, const in float roughness ) {
		vec3 rho = saturate( diffuseColor );
		if ( roughness <= EON_EPSILON ) return BRDF_Lambert( rho );
		float dotNL = saturate( dot( normal, lightDir ) );
		float dotNV = saturate( dot( normal, viewDir ) );
		float s = dot( lightDir, viewDir ) - dotNL * dotNV;
		float sOverT = ( s > 0.0 ) ? s / max( max( dotNL, dotNV ), EON_EPSILON ) : s;
		float A = 1.0 / ( 1.0 + ( 0.5 - 2.0 / ( 3.0 * PI ) ) * roughness );
		vec3 singleScatter = rho * RECIPROCAL_PI * A * ( 1.0 + roughness * sOverT );
		float averageAlbedo = A * ( 1.0 + ( 2.0 / 3.0 - 28.0 / ( 15.0 * PI ) ) * roughness );
		float albedoV = FON_DirectionalAlbedo( dotNV, roughness, A );
		float albedoL = FON_DirectionalAlbedo( dotNL, roughness, A );
		vec3 rhoMultiScatter = rho * rho * averageAlbedo / max( vec3( EON_EPSILON ), vec3( 1.0 ) - rho * ( 1.0 - averageAlbedo ) );
		vec3 multiScatter = rhoMultiScatter * RECIPROCAL_PI
			* max( EON_EPSILON, 1.0 - albedoV )
			* max( EON_EPSILON, 1.0 - albedoL )
			/ max( EON_EPSILON, 1.0 - averageAlbedo );
		return singleScatter + multiScatter;
	}
	vec3 EON_DirectionalAlbedo( const in vec3 diffuseColor, const in float roughness, const in float dotNV ) {
		vec3 rho = saturate( diffuseColor );
		if ( roughness <= EON_EPSILON ) return rho;
		float A = 1.0 / ( 1.0 + ( 0.5 - 2.0 / ( 3.0 * PI ) ) * roughness );
		float directionalAlbedo = FON_DirectionalAlbedo( dotNV, roughness, A );
		float averageAlbedo = A * ( 1.0 + ( 2.0 / 3.0 - 28.0 / ( 15.0 * PI ) ) * roughness );
		vec3 rhoMultiScatter = rho * rho * averageAlbedo / max( vec3( EON_EPSILON ), vec3( 1.0 ) - rho * ( 1.0 - averageAlbedo ) );
		return rho * directionalAlbedo + rhoMultiScatter * ( 1.0 - directionalAlbedo );
	}
#endif
float V_GGX_SmithCorrelated( const in float alpha, const in float dotNL, const in float dotNV ) {
	float a2 = pow2( alpha );
	float gv = dotNL * sqrt( a2 + ( 1.0 - a2 ) * pow2( dotNV ) );
	float gl = dotNV * sqrt( a2 + ( 1.0 - a2 ) * pow2( dotNL ) );
	return 0.5 / max( gv + gl, EPSILON );
}
float D_GGX( const in float alpha, const in float dotNH ) {
	float a2 = pow2( alpha );
	float denom = pow2( dotNH ) * ( a2 - 1.0 ) + 1.0;
	return RECIPROCAL_PI * a2 / pow2( denom );
}
#ifdef USE_ANISOTROPY
	float V_GGX_SmithCorrelated_Anisotropic( const in float alphaT, const in float alphaB, const in float dotTV, const in float dotBV, const in float dotTL, const in float dotBL, const in float dotNV, const in float dotNL ) {
		float gv = dotNL * length( vec3( alphaT * dotTV, alphaB * dotBV, dotNV ) );
		float gl = dotNV * length( vec3( alphaT * dotTL, alphaB * dotBL, dotNL ) );
		return 0.5 / max( gv + gl, EPSILON );
	}
	float D_GGX_Anisotropic( const in float alphaT, const in float alphaB, const in float dotNH, const in float dotTH, const in float dotBH ) {
		float a2 = alphaT * alphaB;
		highp vec3 v = vec3( alphaB * dotTH, alphaT * dotBH, a2 * dotNH );
		highp float v2 = dot( v, v );
		float w2 = a2 / v2;
		return RECIPROCAL_PI * a2 * pow2 ( w2 );
	}
#endif
#ifdef USE_CLEARCOAT
	vec3 BRDF_GGX_Clearcoat( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in PhysicalMaterial material) {
		vec3 f0 = material.clearcoatF0;
		float f90 = material.clearcoatF90;
		float roughness = max( material.clearcoatRoughness, 0.045 );
		float alpha = pow2( roughness );
		vec3 halfDir = normalize( lightDir + viewDir );
		float dotNL = saturate( dot( normal, lightDir ) );
		float dotNV = saturate( dot( normal, viewDir ) );
		float dotNH = saturate( dot( normal, halfDir ) );
		float dotVH = saturate( dot( viewDir, halfDir ) );
		vec3 F = F_Schlick( f0, f90, dotVH );
		float V = V_GGX_SmithCorrelated( alpha, dotNL, dotNV );
		float D = D_GGX( alpha, dotNH );
		return F * ( V * D );
	}
#endif
vec3 BRDF_GGX( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, const in PhysicalMaterial material ) {
	vec3 f0 = material.specularColorBlended;
	float f90 = material.specularF90;
	float roughness = max( material.roughness, 0.045 );
	float alpha = pow2( roughness );
	vec3 halfDir = normalize( lightDir + viewDir );
	float dotNL = saturate( dot( normal, lightDir ) );
	float dotNV = saturate( dot( normal, viewDir ) );
	float dotNH = saturate( dot( normal, halfDir ) );
	float dotVH = saturate( dot( viewDir, halfDir ) );
	vec3 F = F_Schlick( f0, f90, dotVH );
	#ifdef USE_IRIDESCENCE
		F = mix( F, material.iridescenceFresnel, material.iridescence );
	#endif
	#ifdef USE_ANISOTROPY
		float dotTL = dot( material.anisotropyT, lightDir );
		float dotTV = dot( material.anisotropyT, viewDir );
		float dotTH = dot( material.anisotropyT, halfDir );
		float dotBL = dot( material.anisotropyB, lightDir );
		float dotBV = dot( material.anisotropyB, viewDir );
		float dotBH = dot( material.anisotropyB, halfDir );
		float alphaT = max( material.alphaT, alpha );
		float V = V_GGX_SmithCorrelated_Anisotropic( alphaT, alpha, dotTV, dotBV, dotTL, dotBL, dotNV, dotNL );
		float D = D_GGX_Anisotropic( alphaT, alpha, dotNH, dotTH, dotBH );
	#else
		float V = V_GGX_SmithCorrelated( alpha, dotNL, dotNV );
		float D = D_GGX( alpha, dotNH );
	#endif
	return F * ( V * D );
}
vec2 LTC_Uv( const in vec3 N, const in vec3 V, const in float roughness ) {
	const float LUT_SIZE = 64.0;
	const float LUT_SCALE = ( LUT_SIZE - 1.0 ) / LUT_SIZE;
	const float LUT_BIAS = 0.5 / LUT_SIZE;
	float dotNV = saturate( dot( N, V ) );
	vec2 uv = vec2( roughness, sqrt( 1.0 - dotNV ) );
	uv = uv * LUT_SCALE + LUT_BIAS;
	return uv;
}
float LTC_ClippedSphereFormFactor( const in vec3 f ) {
	float l = length( f );
	return max( ( l * l + f.z ) / ( l + 1.0 ), 0.0 );
}
vec3 LTC_EdgeVectorFormFactor( const in vec3 v1, const in vec3 v2 ) {
	float x = dot( v1, v2 );
	float y = abs( x );
	float a = 0.8543985 + ( 0.4965155 + 0.0145206 * y ) * y;
	float b = 3.4175940 + ( 4.1616724 + y ) * y;
	float v = a / b;
	float theta_sintheta = ( x > 0.0 ) ? v : 0.5 * inversesqrt( max( 1.0 - x * x, 1e-7 ) ) - v;
	return cross( v1, v2 ) * theta_sintheta;
}
vec3 LTC_Evaluate( const in vec3 N, const in vec3 V, const in vec3 P, const in mat3 mInv, const in vec3 rectCoords[ 4 ] ) {
	vec3 v1 = rectCoords[ 1 ] - rectCoords[ 0 ];
	vec3 v2 = rectCoords[ 3 ] - rectCoords[ 0 ];
	vec3 lightNormal = cross( v1, v2 );
	if( dot( lightNormal, P - rectCoords[ 0 ] ) < 0.0 ) return vec3( 0.0 );
	vec3 T1, T2;
	T1 = normalize( V - N * dot( V, N ) );
	T2 = - cross( N, T1 );
	mat3 mat = mInv * transpose( mat3( T1, T2, N ) );
	vec3 coords[ 4 ];
	coords[ 0 ] = mat * ( rectCoords[ 0 ] - P );
	coords[ 1 ] = mat * ( rectCoords[ 1 ] - P );
	coords[ 2 ] = mat * ( rectCoords[ 2 ] - P );
	coords[ 3 ] = mat * ( rectCoords[ 3 ] - P );
	coords[ 0 ] = normalize( coords[ 0 ] );
	coords[ 1 ] = normalize( coords[ 1 ] );
	coords[ 2 ] = normalize( coords[ 2 ] );
	coords[ 3 ] = normalize( coords[ 3 ] );
	vec3 vectorFormFactor = vec3( 0.0 );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 0 ], coords[ 1 ] );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 1 ], coords[ 2 ] );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 2 ], coords[ 3 ] );
	vectorFormFactor += LTC_EdgeVectorFormFactor( coords[ 3 ], coords[ 0 ] );
	float result = LTC_ClippedSphereFormFactor( vectorFormFactor );
	return vec3( result );
}
#if defined( USE_SHEEN )
float D_Charlie( float roughness, float dotNH ) {
	float alpha = pow2( roughness );
	float invAlpha = 1.0 / alpha;
	float cos2h = dotNH * dotNH;
	float sin2h = max( 1.0 - cos2h, 0.0078125 );
	return ( 2.0 + invAlpha ) * pow( sin2h, invAlpha * 0.5 ) / ( 2.0 * PI );
}
float V_Neubelt( float dotNV, float dotNL ) {
	return saturate( 1.0 / ( 4.0 * ( dotNL + dotNV - dotNL * dotNV ) ) );
}
vec3 BRDF_Sheen( const in vec3 lightDir, const in vec3 viewDir, const in vec3 normal, vec3 sheenColor, const in float sheenRoughness ) {
	vec3 halfDir = normalize( lightDir + viewDir );
	float dotNL = saturate( dot( normal, lightDir ) );
	float dotNV = saturate( dot( normal, viewDir ) );
	float dotNH = saturate( dot( normal, halfDir ) );
	float D = D_Charlie( sheenRoughness, dotNH );
	float V = V_Neubelt( dotNV, dotNL );
	return sheenColor * ( D * V );
}
#endif
float IBLSheenBRDF( const in vec3 normal, const in vec3 viewDir, const in float roughness ) {
	float dotNV = saturate( dot( normal, viewDir ) );
	float r2 = roughness * roughness;
	float rInv = 1.0 / ( roughness + 0.1 );
	float a = -1.9362 + 1.0678 * roughness + 0.4573 * r2 - 0.8469 * rInv;
	float b = -0.6014 + 0.5538 * roughness - 0.4670 * r2 - 0.1255 * rInv;
	float DG = exp( a * dotNV + b );
	return saturate( DG );
}
vec3 EnvironmentBRDF( const in vec3 normal, const in vec3 viewDir, const in vec3 specularColor, const in float specularF90, const in float roughness ) {
	float dotNV = saturate( dot( normal, viewDir ) );
	vec2 fab = texture2D( dfgLUT, vec2( roughness, dotNV ) ).rg;
	return specularColor * fab.x + specularF90 * fab.y;
}
#ifdef USE_IRIDESCENCE
void computeMultiscatteringIridescence( const in vec2 fab, const in vec3 specularColor, const in float specularF90, const in float iridescence, const in vec3 iridescenceF0, inout vec3 singleScatter, inout vec3 multiScatter ) {
#else
void computeMultiscattering( const in vec2 fab, const in vec3 specularColor, const in float specularF90, inout vec3 singleScatter, inout vec3 multiScatter ) {
#endif
	#ifdef USE_IRIDESCENCE
		vec3 Fr = mix( specularColor, iridescenceF0, iridescence );
	#else
		vec3 Fr = specularColor;
	#endif
	vec3 FssEss = Fr * fab.x + specularF90 * fab.y;
	float Ess = fab.x + fab.y;
	float Ems = 1.0 - Ess;
	vec3 Favg = Fr + ( 1.0 - Fr ) * 0.047619;	vec3 Fms = FssEss * Favg / ( 1.0 - Ems * Favg );
	singleScatter += FssEss;
	multiScatter += Fms * Ems;
}
#if NUM_RECT_AREA_LIGHTS > 0
	void RE_Direct_RectArea_Physical( const in RectAreaLight rectAreaLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight ) {
		vec3 normal = geometryNormal;
		vec3 viewDir = geometryViewDir;
		vec3 position = geometryPosition;
		vec3 lightPos = rectAreaLight.position;
		vec3 halfWidth = rectAreaLight.halfWidth;
		vec3 halfHeight = rectAreaLight.halfHeight;
		vec3 lightColor = rectAreaLight.color;
		float roughness = material.roughness;
		vec3 rectCoords[ 4 ];
		rectCoords[ 0 ] = lightPos + halfWidth - halfHeight;		rectCoords[ 1 ] = lightPos - halfWidth - halfHeight;
		rectCoords[ 2 ] = lightPos - halfWidth + halfHeight;
		rectCoords[ 3 ] = lightPos + halfWidth + halfHeight;
		vec2 uv = LTC_Uv( normal, viewDir, roughness );
		vec4 t1 = texture2D( ltc_1, uv );
		vec4 t2 = texture2D( ltc_2, uv );
		mat3 mInv = mat3(
			vec3( t1.x, 0, t1.y ),
			vec3(    0, 1,    0 ),
			vec3( t1.z, 0, t1.w )
		);
		vec3 fresnel = ( material.specularColorBlended * t2.x + ( material.specularF90 - material.specularColorBlended ) * t2.y );
		reflectedLight.directSpecular += lightColor * fresnel * LTC_Evaluate( normal, viewDir, position, mInv, rectCoords );
		reflectedLight.directDiffuse += lightColor * material.diffuseContribution * LTC_Evaluate( normal, viewDir, position, mat3( 1.0 ), rectCoords );
		#ifdef USE_CLEARCOAT
			vec3 Ncc = geometryClearcoatNormal;
			vec2 uvClearcoat = LTC_Uv( Ncc, viewDir, material.clearcoatRoughness );
			vec4 t1Clearcoat = texture2D( ltc_1, uvClearcoat );
			vec4 t2Clearcoat = texture2D( ltc_2, uvClearcoat );
			mat3 mInvClearcoat = mat3(
				vec3( t1Clearcoat.x, 0, t1Clearcoat.y ),
				vec3(             0, 1,             0 ),
				vec3( t1Clearcoat.z, 0, t1Clearcoat.w )
			);
			vec3 fresnelClearcoat = material.clearcoatF0 * t2Clearcoat.x + ( material.clearcoatF90 - material.clearcoatF0 ) * t2Clearcoat.y;
			clearcoatSpecularDirect += lightColor * fresnelClearcoat * LTC_Evaluate( Ncc, viewDir, position, mInvClearcoat, rectCoords );
		#endif
	}
#endif
void RE_Direct_Physical( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight ) {
	float dotNL = saturate( dot( geometryNormal, directLight.direction ) );
	vec3 irradiance = dotNL * directLight.color;
	#ifdef USE_CLEARCOAT
		float dotNLcc = saturate( dot( geometryClearcoatNormal, directLight.direction ) );
		vec3 ccIrradiance = dotNLcc * directLight.color;
		clearcoatSpecularDirect += ccIrradiance * BRDF_GGX_Clearcoat( directLight.direction, geometryViewDir, geometryClearcoatNormal, material );
	#endif
	#ifdef USE_SHEEN
 
 		sheenSpecularDirect += irradiance * BRDF_Sheen( directLight.direction, geometryViewDir, geometryNormal, material.sheenColor, material.sheenRoughness );
 
 		float sheenAlbedoV = IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness );
 		float sheenAlbedoL = IBLSheenBRDF( geometryNormal, directLight.direction, material.sheenRoughness );
 
 		float sheenEnergyComp = 1.0 - max3( material.sheenColor ) * max( sheenAlbedoV, sheenAlbedoL );
 
 		irradiance *= sheenEnergyComp;
 
 	#endif
	vec3 specularBRDF = BRDF_GGX( directLight.direction, geometryViewDir, geometryNormal, material );
	#ifdef USE_RETROREFLECTION
		vec3 retroViewDir = reflect( - geometryViewDir, geometryNormal );
		vec3 retroSpecularBRDF = BRDF_GGX( directLight.direction, retroViewDir, geometryNormal, material );
		specularBRDF = mix( specularBRDF, retroSpecularBRDF, saturate( material.retroreflectivity ) );
	#endif
	reflectedLight.directSpecular += irradiance * specularBRDF * material.multiScatteringCompensation;
	vec3 halfDir = normalize( directLight.direction + geometryViewDir );
	float dotVH = saturate( dot( geometryViewDir, halfDir ) );
	vec3 F = F_Schlick( material.specularColor, material.specularF90, dotVH );
	#ifdef USE_RETROREFLECTION
		vec3 retroHalfDir = normalize( directLight.direction + retroViewDir );
		float dotRetroVH = saturate( dot( retroViewDir, retroHalfDir ) );
		vec3 retroF = F_Schlick( material.specularColor, material.specularF90, dotRetroVH );
		F = mix( F, retroF, saturate( material.retroreflectivity ) );
	#endif
	#ifdef USE_DIFFUSE_ROUGHNESS
		vec3 diffuseBRDF = BRDF_EON( directLight.direction, geometryViewDir, geometryNormal, material.diffuseColor, material.diffuseRoughness ) * ( 1.0 - material.metalness );
	#else
		vec3 diffuseBRDF = BRDF_Lambert( material.diffuseContribution );
	#endif
	reflectedLight.directDiffuse += irradiance * diffuseBRDF * ( 1.0 - F );
}
void RE_IndirectDiffuse_Physical( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight ) {
	vec3 singleScattering = vec3( 0.0 );
	vec3 multiScattering = vec3( 0.0 );
	#ifdef USE_IRIDESCENCE
		computeMultiscatteringIridescence( material.dfg, material.specularColor, material.specularF90, material.iridescence, material.iridescenceF0Dielectric, singleScattering, multiScattering );
	#else
		computeMultiscattering( material.dfg, material.specularColor, material.specularF90, singleScattering, multiScattering );
	#endif
	#ifdef USE_DIFFUSE_ROUGHNESS
		float dotNV = saturate( dot( geometryNormal, geometryViewDir ) );
		vec3 diffuseAlbedo = EON_DirectionalAlbedo( material.diffuseColor, material.diffuseRoughness, dotNV ) * ( 1.0 - material.metalness );
		vec3 diffuse = irradiance * RECIPROCAL_PI * diffuseAlbedo * ( 1.0 - singleScattering - multiScattering );
	#else
		vec3 diffuse = irradiance * BRDF_Lambert( material.diffuseContribution ) * ( 1.0 - singleScattering - multiScattering );
	#endif
	#ifdef USE_SHEEN
		float sheenAlbedo = IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness );
		sheenSpecularIndirect += irradiance * material.sheenColor * sheenAlbedo * RECIPROCAL_PI;
		float sheenEnergyComp = 1.0 - max3( material.sheenColor ) * sheenAlbedo;
		diffuse *= sheenEnergyComp;
	#endif
	reflectedLight.indirectDiffuse += diffuse;
}
void RE_IndirectSpecular_Physical( const in vec3 radiance, const in vec3 irradiance, const in vec3 clearcoatRadiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in PhysicalMaterial material, inout ReflectedLight reflectedLight) {
	#ifdef USE_CLEARCOAT
		clearcoatSpecularIndirect += clearcoatRadiance * EnvironmentBRDF( geometryClearcoatNormal, geometryViewDir, material.clearcoatF0, material.clearcoatF90, material.clearcoatRoughness );
	#endif
	#ifdef USE_SHEEN
		sheenSpecularIndirect += irradiance * material.sheenColor * IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness ) * RECIPROCAL_PI;
 	#endif
	vec3 singleScatteringDielectric = vec3( 0.0 );
	vec3 multiScatteringDielectric = vec3( 0.0 );
	vec3 singleScatteringMetallic = vec3( 0.0 );
	vec3 multiScatteringMetallic = vec3( 0.0 );
	#ifdef USE_IRIDESCENCE
		computeMultiscatteringIridescence( material.dfg, material.specularColor, material.specularF90, material.iridescence, material.iridescenceF0Dielectric, singleScatteringDielectric, multiScatteringDielectric );
		computeMultiscatteringIridescence( material.dfg, material.diffuseColor, material.specularF90, material.iridescence, material.iridescenceF0Metallic, singleScatteringMetallic, multiScatteringMetallic );
	#else
		computeMultiscattering( material.dfg, material.specularColor, material.specularF90, singleScatteringDielectric, multiScatteringDielectric );
		computeMultiscattering( material.dfg, material.diffuseColor, material.specularF90, singleScatteringMetallic, multiScatteringMetallic );
	#endif
	vec3 singleScattering = mix( singleScatteringDielectric, singleScatteringMetallic, material.metalness );
	vec3 multiScattering = mix( multiScatteringDielectric, multiScatteringMetallic, material.metalness );
	vec3 totalScatteringDielectric = singleScatteringDielectric + multiScatteringDielectric;
	#ifdef USE_DIFFUSE_ROUGHNESS
		float dotNV = saturate( dot( geometryNormal, geometryViewDir ) );
		vec3 diffuse = EON_DirectionalAlbedo( material.diffuseColor, material.diffuseRoughness, dotNV ) * ( 1.0 - material.metalness ) * ( 1.0 - totalScatteringDielectric );
	#else
		vec3 diffuse = material.diffuseContribution * ( 1.0 - totalScatteringDielectric );
	#endif
	vec3 cosineWeightedIrradiance = irradiance * RECIPROCAL_PI;
	vec3 indirectSpecular = radiance * singleScattering;
	indirectSpecular += multiScattering * cosineWeightedIrradiance;
	vec3 indirectDiffuse = diffuse * cosineWeightedIrradiance;
	#ifdef USE_SHEEN
		float sheenAlbedo = IBLSheenBRDF( geometryNormal, geometryViewDir, material.sheenRoughness );
		float sheenEnergyComp = 1.0 - max3( material.sheenColor ) * sheenAlbedo;
		indirectSpecular *= sheenEnergyComp;
		indirectDiffuse *= sheenEnergyComp;
	#endif
	reflectedLight.indirectSpecular += indirectSpecular;
	reflectedLight.indirectDiffuse += indirectDiffuse;
}
#define RE_Direct				RE_Direct_Physical
#define RE_Direct_RectArea		RE_Direct_RectArea_Physical
#define RE_IndirectDiffuse		RE_IndirectDiffuse_Physical
#define RE_IndirectSpecular		RE_IndirectSpecular_Physical
float computeSpecularOcclusion( const in float dotNV, const in float ambientOcclusion, const in float roughness ) {
	return saturate( pow( dotNV + ambientOcclusion, exp2( - 16.0 * roughness - 1.0 ) ) - 1.0 + ambientOcclusion );
}`,S_=`
vec3 geometryPosition = - vViewPosition;
vec3 geometryNormal = normal;
vec3 geometryViewDir = ( isOrthographic ) ? vec3( 0, 0, 1 ) : normalize( vViewPosition );
vec3 geometryClearcoatNormal = vec3( 0.0 );
#ifdef USE_CLEARCOAT
	geometryClearcoatNormal = clearcoatNormal;
#endif
#ifdef USE_IRIDESCENCE
	float dotNVi = saturate( dot( normal, geometryViewDir ) );
	if ( material.iridescenceThickness == 0.0 ) {
		material.iridescence = 0.0;
	} else {
		material.iridescence = saturate( material.iridescence );
	}
	if ( material.iridescence > 0.0 ) {
		vec3 iridescenceFresnelDielectric = evalIridescence( 1.0, material.iridescenceIOR, dotNVi, material.iridescenceThickness, material.specularColor );
		vec3 iridescenceFresnelMetallic = evalIridescence( 1.0, material.iridescenceIOR, dotNVi, material.iridescenceThickness, material.diffuseColor );
		material.iridescenceFresnel = mix( iridescenceFresnelDielectric, iridescenceFresnelMetallic, material.metalness );
		material.iridescenceF0Dielectric = Schlick_to_F0( iridescenceFresnelDielectric, 1.0, dotNVi );
		material.iridescenceF0Metallic = Schlick_to_F0( iridescenceFresnelMetallic, 1.0, dotNVi );
	}
#endif
#ifdef STANDARD
	float dotNVms = saturate( dot( geometryNormal, geometryViewDir ) );
	material.dfg = texture2D( dfgLUT, vec2( material.roughness, dotNVms ) ).rg;
	#if ( NUM_SUN_LIGHTS > 0 || NUM_DIR_LIGHTS > 0 || NUM_POINT_LIGHTS > 0 || NUM_SPOT_LIGHTS > 0 )
		float EssMs = material.dfg.x + material.dfg.y;
		material.multiScatteringCompensation = 1.0 + material.specularColorBlended * ( 1.0 / EssMs - 1.0 );
	#endif
#endif
IncidentLight directLight;
#if ( NUM_POINT_LIGHTS > 0 ) && defined( RE_Direct )
	PointLight pointLight;
	#if defined( USE_SHADOWMAP ) && NUM_POINT_LIGHT_SHADOWS > 0
	PointLightShadow pointLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_POINT_LIGHTS; i ++ ) {
		pointLight = pointLights[ i ];
		getPointLightInfo( pointLight, geometryPosition, directLight );
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_POINT_LIGHT_SHADOWS ) && ( defined( SHADOWMAP_TYPE_PCF ) || defined( SHADOWMAP_TYPE_BASIC ) )
		pointLightShadow = pointLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getPointShadow( pointShadowMap[ i ], pointLightShadow.shadowMapSize, pointLightShadow.shadowIntensity, pointLightShadow.shadowBias, pointLightShadow.shadowRadius, vPointShadowCoord[ i ], pointLightShadow.shadowCameraNear, pointLightShadow.shadowCameraFar ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_SPOT_LIGHTS > 0 ) && defined( RE_Direct )
	SpotLight spotLight;
	vec4 spotColor;
	vec3 spotLightCoord;
	bool inSpotLightMap;
	#if defined( USE_SHADOWMAP ) && NUM_SPOT_LIGHT_SHADOWS > 0
	SpotLightShadow spotLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SPOT_LIGHTS; i ++ ) {
		spotLight = spotLights[ i ];
		getSpotLightInfo( spotLight, geometryPosition, directLight );
		#if ( UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS_WITH_MAPS )
		#define SPOT_LIGHT_MAP_INDEX UNROLLED_LOOP_INDEX
		#elif ( UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS )
		#define SPOT_LIGHT_MAP_INDEX NUM_SPOT_LIGHT_MAPS
		#else
		#define SPOT_LIGHT_MAP_INDEX ( UNROLLED_LOOP_INDEX - NUM_SPOT_LIGHT_SHADOWS + NUM_SPOT_LIGHT_SHADOWS_WITH_MAPS )
		#endif
		#if ( SPOT_LIGHT_MAP_INDEX < NUM_SPOT_LIGHT_MAPS )
			spotLightCoord = vSpotLightCoord[ i ].xyz / vSpotLightCoord[ i ].w;
			inSpotLightMap = all( lessThan( abs( spotLightCoord * 2. - 1. ), vec3( 1.0 ) ) );
			spotColor = texture2D( spotLightMap[ SPOT_LIGHT_MAP_INDEX ], spotLightCoord.xy );
			directLight.color = inSpotLightMap ? directLight.color * spotColor.rgb : directLight.color;
		#endif
		#undef SPOT_LIGHT_MAP_INDEX
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS )
		spotLightShadow = spotLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getShadow( spotShadowMap[ i ], spotLightShadow.shadowMapSize, spotLightShadow.shadowIntensity, spotLightShadow.shadowBias, spotLightShadow.shadowRadius, vSpotLightCoord[ i ] ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_SUN_LIGHTS > 0 ) && defined( RE_Direct )
	SunLight sunLight;
	#if defined( USE_SHADOWMAP ) && NUM_SUN_LIGHT_SHADOWS > 0
	SunLightShadow sunLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SUN_LIGHTS; i ++ ) {
		sunLight = sunLights[ i ];
		getSunLightInfo( sunLight, directLight );
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_SUN_LIGHT_SHADOWS )
		sunLightShadow = sunLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getSunShadow( sunShadowMap[ i ], sunLightShadow, UNROLLED_LOOP_INDEX ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_DIR_LIGHTS > 0 ) && defined( RE_Direct )
	DirectionalLight directionalLight;
	#if defined( USE_SHADOWMAP ) && NUM_DIR_LIGHT_SHADOWS > 0
	DirectionalLightShadow directionalLightShadow;
	#endif
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_DIR_LIGHTS; i ++ ) {
		directionalLight = directionalLights[ i ];
		getDirectionalLightInfo( directionalLight, directLight );
		#if defined( USE_SHADOWMAP ) && ( UNROLLED_LOOP_INDEX < NUM_DIR_LIGHT_SHADOWS )
		directionalLightShadow = directionalLightShadows[ i ];
		directLight.color *= ( directLight.visible && receiveShadow ) ? getShadow( directionalShadowMap[ i ], directionalLightShadow.shadowMapSize, directionalLightShadow.shadowIntensity, directionalLightShadow.shadowBias, directionalLightShadow.shadowRadius, vDirectionalShadowCoord[ i ] ) : 1.0;
		#endif
		RE_Direct( directLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if ( NUM_RECT_AREA_LIGHTS > 0 ) && defined( RE_Direct_RectArea )
	RectAreaLight rectAreaLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_RECT_AREA_LIGHTS; i ++ ) {
		rectAreaLight = rectAreaLights[ i ];
		RE_Direct_RectArea( rectAreaLight, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
	}
	#pragma unroll_loop_end
#endif
#if defined( RE_IndirectDiffuse )
	vec3 iblIrradiance = vec3( 0.0 );
	vec3 irradiance = getAmbientLightIrradiance( ambientLightColor );
	#if defined( USE_LIGHT_PROBES )
		irradiance += getLightProbeIrradiance( lightProbe, geometryNormal );
	#endif
	#if ( NUM_HEMI_LIGHTS > 0 )
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_HEMI_LIGHTS; i ++ ) {
			irradiance += getHemisphereLightIrradiance( hemisphereLights[ i ], geometryNormal );
		}
		#pragma unroll_loop_end
	#endif
	#if NUM_LIGHT_PROBE_GRIDS > 0
		vec3 probeWorldPos = ( ( vec4( geometryPosition, 1.0 ) - viewMatrix[ 3 ] ) * viewMatrix ).xyz;
		vec3 probeWorldNormal = transformNormalByInverseViewMatrix( geometryNormal, viewMatrix );
		int probeGrid = - 1;
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_LIGHT_PROBE_GRIDS; i ++ ) {
			if ( isInsideLightProbeGrid( probeWorldPos, probeWorldNormal, probesMin[ i ], probesMax[ i ], probesResolution[ i ] ) ) probeGrid = UNROLLED_LOOP_INDEX;
		}
		#pragma unroll_loop_end
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_LIGHT_PROBE_GRIDS; i ++ ) {
			if ( probeGrid == UNROLLED_LOOP_INDEX ) irradiance += getLightProbeGridIrradiance( probesSH[ i ], probesMin[ i ], probesMax[ i ], probesResolution[ i ], probeWorldPos, probeWorldNormal );
		}
		#pragma unroll_loop_end
	#endif
#endif
#if defined( RE_IndirectSpecular )
	vec3 radiance = vec3( 0.0 );
	vec3 clearcoatRadiance = vec3( 0.0 );
#endif`,b_=`#if defined( RE_IndirectDiffuse )
	#ifdef USE_LIGHTMAP
		vec4 lightMapTexel = texture2D( lightMap, vLightMapUv );
		vec3 lightMapIrradiance = lightMapTexel.rgb * lightMapIntensity;
		irradiance += lightMapIrradiance;
	#endif
	#if defined( USE_ENVMAP ) && defined( ENVMAP_TYPE_PMREM )
		#if defined( STANDARD ) || defined( LAMBERT ) || defined( PHONG )
			iblIrradiance += getIBLIrradiance( geometryNormal );
		#endif
	#endif
#endif
#if defined( USE_ENVMAP ) && defined( RE_IndirectSpecular )
	#ifdef USE_ANISOTROPY
		vec3 iblRadiance = getIBLAnisotropyRadiance( geometryViewDir, geometryNormal, material.roughness, material.anisotropyB, material.anisotropy );
	#else
		vec3 iblRadiance = getIBLRadiance( geometryViewDir, geometryNormal, material.roughness );
	#endif
	#ifdef USE_RETROREFLECTION
		#ifdef USE_ANISOTROPY
			vec3 retroIBLRadiance = getIBLAnisotropyRetroRadiance( geometryViewDir, geometryNormal, material.roughness, material.anisotropyB, material.anisotropy );
		#else
			vec3 retroIBLRadiance = getIBLRetroRadiance( geometryViewDir, geometryNormal, material.roughness );
		#endif
		iblRadiance = mix( iblRadiance, retroIBLRadiance, saturate( material.retroreflectivity ) );
	#endif
	radiance += iblRadiance;
	#ifdef USE_CLEARCOAT
		clearcoatRadiance += getIBLRadiance( geometryViewDir, geometryClearcoatNormal, material.clearcoatRoughness );
	#endif
#endif`,w_=`#if defined( RE_IndirectDiffuse )
	#if defined( LAMBERT ) || defined( PHONG )
		irradiance += iblIrradiance;
	#endif
	RE_IndirectDiffuse( irradiance, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
#endif
#if defined( RE_IndirectSpecular )
	RE_IndirectSpecular( radiance, iblIrradiance, clearcoatRadiance, geometryPosition, geometryNormal, geometryViewDir, geometryClearcoatNormal, material, reflectedLight );
#endif`,T_=`#if NUM_LIGHT_PROBE_GRIDS > 0
uniform highp sampler3D probesSH[ NUM_LIGHT_PROBE_GRIDS ];
uniform vec3 probesMin[ NUM_LIGHT_PROBE_GRIDS ];
uniform vec3 probesMax[ NUM_LIGHT_PROBE_GRIDS ];
uniform vec3 probesResolution[ NUM_LIGHT_PROBE_GRIDS ];
bool isInsideLightProbeGrid( vec3 worldPos, vec3 worldNormal, vec3 probesMin, vec3 probesMax, vec3 probesResolution ) {
	vec3 spacing = ( probesMax - probesMin ) / probesResolution;
	vec3 samplePos = worldPos + worldNormal * spacing * 0.5;
	vec3 margin = spacing * 0.01;
	return all( greaterThanEqual( samplePos, probesMin - margin ) ) && all( lessThanEqual( samplePos, probesMax + margin ) );
}
vec3 getLightProbeGridIrradiance( highp sampler3D probesSH, vec3 probesMin, vec3 probesMax, vec3 probesResolution, vec3 worldPos, vec3 worldNormal ) {
	vec3 res = probesResolution;
	vec3 gridRange = probesMax - probesMin;
	vec3 probeSpacing = gridRange / res;
	vec3 samplePos = worldPos + worldNormal * probeSpacing * 0.5;
	vec3 uvw = clamp( ( samplePos - probesMin ) / gridRange, 0.5 / res, 1.0 - 0.5 / res );
	float nz          = res.z;
	float paddedSlices = nz + 2.0;
	float atlasDepth  = 7.0 * paddedSlices;
	float uvZBase     = uvw.z * nz + 1.0;
	vec4 s0 = texture( probesSH, vec3( uvw.xy, ( uvZBase                       ) / atlasDepth ) );
	vec4 s1 = texture( probesSH, vec3( uvw.xy, ( uvZBase +       paddedSlices   ) / atlasDepth ) );
	vec4 s2 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 2.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s3 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 3.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s4 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 4.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s5 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 5.0 * paddedSlices   ) / atlasDepth ) );
	vec4 s6 = texture( probesSH, vec3( uvw.xy, ( uvZBase + 6.0 * paddedSlices   ) / atlasDepth ) );
	vec3 c0 = s0.xyz;
	vec3 c1 = vec3( s0.w, s1.xy );
	vec3 c2 = vec3( s1.zw, s2.x );
	vec3 c3 = s2.yzw;
	vec3 c4 = s3.xyz;
	vec3 c5 = vec3( s3.w, s4.xy );
	vec3 c6 = vec3( s4.zw, s5.x );
	vec3 c7 = s5.yzw;
	vec3 c8 = s6.xyz;
	float x = worldNormal.x, y = worldNormal.y, z = worldNormal.z;
	vec3 result = c0 * 0.886227;
	result += c1 * 2.0 * 0.511664 * y;
	result += c2 * 2.0 * 0.511664 * z;
	result += c3 * 2.0 * 0.511664 * x;
	result += c4 * 2.0 * 0.429043 * x * y;
	result += c5 * 2.0 * 0.429043 * y * z;
	result += c6 * ( 0.743125 * z * z - 0.247708 );
	result += c7 * 2.0 * 0.429043 * x * z;
	result += c8 * 0.429043 * ( x * x - y * y );
	return max( result, vec3( 0.0 ) );
}
#endif`,A_=`#if defined( USE_LOGARITHMIC_DEPTH_BUFFER )
	gl_FragDepth = vIsPerspective == 0.0 ? gl_FragCoord.z : log2( vFragDepth ) * logDepthBufFC * 0.5;
#endif`,E_=`#if defined( USE_LOGARITHMIC_DEPTH_BUFFER )
	uniform float logDepthBufFC;
	varying float vFragDepth;
	varying float vIsPerspective;
#endif`,R_=`#ifdef USE_LOGARITHMIC_DEPTH_BUFFER
	varying float vFragDepth;
	varying float vIsPerspective;
#endif`,C_=`#ifdef USE_LOGARITHMIC_DEPTH_BUFFER
	vFragDepth = 1.0 + gl_Position.w;
	vIsPerspective = float( isPerspectiveMatrix( projectionMatrix ) );
#endif`,I_=`#ifdef USE_MAP
	vec4 sampledDiffuseColor = texture2D( map, vMapUv );
	#ifdef DECODE_VIDEO_TEXTURE
		sampledDiffuseColor = sRGBTransferEOTF( sampledDiffuseColor );
	#endif
	diffuseColor *= sampledDiffuseColor;
#endif`,P_=`#ifdef USE_MAP
	uniform sampler2D map;
#endif`,L_=`#if defined( USE_MAP ) || defined( USE_ALPHAMAP )
	#if defined( USE_POINTS_UV )
		vec2 uv = vUv;
	#else
		vec2 uv = ( uvTransform * vec3( gl_PointCoord.x, 1.0 - gl_PointCoord.y, 1 ) ).xy;
	#endif
#endif
#ifdef USE_MAP
	diffuseColor *= texture2D( map, uv );
#endif
#ifdef USE_ALPHAMAP
	diffuseColor.a *= texture2D( alphaMap, uv ).g;
#endif`,N_=`#if defined( USE_POINTS_UV )
	varying vec2 vUv;
#else
	#if defined( USE_MAP ) || defined( USE_ALPHAMAP )
		uniform mat3 uvTransform;
	#endif
#endif
#ifdef USE_MAP
	uniform sampler2D map;
#endif
#ifdef USE_ALPHAMAP
	uniform sampler2D alphaMap;
#endif`,D_=`float metalnessFactor = metalness;
#ifdef USE_METALNESSMAP
	vec4 texelMetalness = texture2D( metalnessMap, vMetalnessMapUv );
	metalnessFactor *= texelMetalness.b;
#endif`,U_=`#ifdef USE_METALNESSMAP
	uniform sampler2D metalnessMap;
#endif`,O_=`#ifdef USE_INSTANCING_MORPH
	float morphTargetInfluences[ MORPHTARGETS_COUNT ];
	float morphTargetBaseInfluence = texelFetch( morphTexture, ivec2( 0, gl_InstanceID ), 0 ).r;
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		morphTargetInfluences[i] =  texelFetch( morphTexture, ivec2( i + 1, gl_InstanceID ), 0 ).r;
	}
#endif`,F_=`#if defined( USE_MORPHCOLORS )
	#if defined( USE_COLOR_ALPHA )
		vColor *= morphTargetBaseInfluence;
	#elif defined( USE_COLOR )
		vColor.rgb *= morphTargetBaseInfluence;
	#endif
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		#if defined( USE_COLOR_ALPHA )
			if ( morphTargetInfluences[ i ] != 0.0 ) vColor += getMorph( gl_VertexID, i, 2 ) * morphTargetInfluences[ i ];
		#elif defined( USE_COLOR )
			if ( morphTargetInfluences[ i ] != 0.0 ) vColor.rgb += getMorph( gl_VertexID, i, 2 ).rgb * morphTargetInfluences[ i ];
		#endif
	}
#endif`,B_=`#ifdef USE_MORPHNORMALS
	objectNormal *= morphTargetBaseInfluence;
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		if ( morphTargetInfluences[ i ] != 0.0 ) objectNormal += getMorph( gl_VertexID, i, 1 ).xyz * morphTargetInfluences[ i ];
	}
#endif`,k_=`#ifdef USE_MORPHTARGETS
	#ifndef USE_INSTANCING_MORPH
		uniform float morphTargetBaseInfluence;
		uniform float morphTargetInfluences[ MORPHTARGETS_COUNT ];
	#endif
	uniform sampler2DArray morphTargetsTexture;
	uniform ivec2 morphTargetsTextureSize;
	vec4 getMorph( const in int vertexIndex, const in int morphTargetIndex, const in int offset ) {
		int texelIndex = vertexIndex * MORPHTARGETS_TEXTURE_STRIDE + offset;
		int y = texelIndex / morphTargetsTextureSize.x;
		int x = texelIndex - y * morphTargetsTextureSize.x;
		ivec3 morphUV = ivec3( x, y, morphTargetIndex );
		return texelFetch( morphTargetsTexture, morphUV, 0 );
	}
#endif`,z_=`#ifdef USE_MORPHTARGETS
	transformed *= morphTargetBaseInfluence;
	for ( int i = 0; i < MORPHTARGETS_COUNT; i ++ ) {
		if ( morphTargetInfluences[ i ] != 0.0 ) transformed += getMorph( gl_VertexID, i, 0 ).xyz * morphTargetInfluences[ i ];
	}
#endif`,G_=`float faceDirection = gl_FrontFacing ? 1.0 : - 1.0;
#ifdef FLAT_SHADED
	vec3 fdx = dFdx( vViewPosition );
	vec3 fdy = dFdy( vViewPosition );
	vec3 normal = normalize( cross( fdx, fdy ) );
#else
	vec3 normal = normalize( vNormal );
	#ifdef DOUBLE_SIDED
		normal *= faceDirection;
	#endif
#endif
#if defined( USE_NORMALMAP_TANGENTSPACE ) || defined( USE_CLEARCOAT_NORMALMAP ) || defined( USE_ANISOTROPY )
	#ifdef USE_TANGENT
		mat3 tbn = mat3( normalize( vTangent ), normalize( vBitangent ), normal );
	#else
		mat3 tbn = getTangentFrame( - vViewPosition, normal,
		#if defined( USE_NORMALMAP )
			vNormalMapUv
		#elif defined( USE_CLEARCOAT_NORMALMAP )
			vClearcoatNormalMapUv
		#else
			vUv
		#endif
		);
	#endif
	#ifdef DOUBLE_SIDED
		tbn[0] *= faceDirection;
		tbn[1] *= faceDirection;
	#endif
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	#ifdef USE_TANGENT
		mat3 tbn2 = mat3( normalize( vTangent ), normalize( vBitangent ), normal );
	#else
		mat3 tbn2 = getTangentFrame( - vViewPosition, normal, vClearcoatNormalMapUv );
	#endif
	#ifdef DOUBLE_SIDED
		tbn2[0] *= faceDirection;
		tbn2[1] *= faceDirection;
	#endif
#endif
vec3 nonPerturbedNormal = normal;`,V_=`#ifdef USE_NORMALMAP_OBJECTSPACE
	normal = texture2D( normalMap, vNormalMapUv ).xyz * 2.0 - 1.0;
	#ifdef FLIP_SIDED
		normal = - normal;
	#endif
	#ifdef DOUBLE_SIDED
		normal = normal * faceDirection;
	#endif
	normal = normalize( normalMatrix * normal );
#elif defined( USE_NORMALMAP_TANGENTSPACE )
	vec3 mapN = texture2D( normalMap, vNormalMapUv ).xyz * 2.0 - 1.0;
	#if defined( USE_PACKED_NORMALMAP )
		mapN = vec3( mapN.xy, sqrt( saturate( 1.0 - dot( mapN.xy, mapN.xy ) ) ) );
	#endif
	mapN.xy *= normalScale;
	normal = normalize( tbn * mapN );
#elif defined( USE_BUMPMAP )
	normal = perturbNormalArb( - vViewPosition, normal, dHdxy_fwd(), faceDirection );
#endif`,H_=`#ifndef FLAT_SHADED
	varying vec3 vNormal;
	#ifdef USE_TANGENT
		varying vec3 vTangent;
		varying vec3 vBitangent;
	#endif
#endif`,W_=`#ifndef FLAT_SHADED
	varying vec3 vNormal;
	#ifdef USE_TANGENT
		varying vec3 vTangent;
		varying vec3 vBitangent;
	#endif
#endif`,X_=`#ifndef FLAT_SHADED
	vNormal = normalize( transformedNormal );
	#ifdef USE_TANGENT
		vTangent = normalize( transformedTangent );
		vBitangent = normalize( cross( vNormal, vTangent ) * tangent.w );
		#ifdef FLIP_SIDED
			vBitangent = - vBitangent;
		#endif
	#endif
#endif`,q_=`#ifdef USE_NORMALMAP
	uniform sampler2D normalMap;
	uniform vec2 normalScale;
#endif
#ifdef USE_NORMALMAP_OBJECTSPACE
	uniform mat3 normalMatrix;
#endif
#if ! defined ( USE_TANGENT ) && ( defined ( USE_NORMALMAP_TANGENTSPACE ) || defined ( USE_CLEARCOAT_NORMALMAP ) || defined( USE_ANISOTROPY ) )
	mat3 getTangentFrame( vec3 eye_pos, vec3 surf_norm, vec2 uv ) {
		vec3 q0 = dFdx( eye_pos.xyz );
		vec3 q1 = dFdy( eye_pos.xyz );
		vec2 st0 = dFdx( uv.st );
		vec2 st1 = dFdy( uv.st );
		vec3 N = surf_norm;
		vec3 q1perp = cross( q1, N );
		vec3 q0perp = cross( N, q0 );
		vec3 T = q1perp * st0.x + q0perp * st1.x;
		vec3 B = q1perp * st0.y + q0perp * st1.y;
		float det = max( dot( T, T ), dot( B, B ) );
		float scale = ( det == 0.0 ) ? 0.0 : inversesqrt( det );
		return mat3( T * scale, B * scale, N );
	}
#endif`,$_=`#ifdef USE_CLEARCOAT
	vec3 clearcoatNormal = nonPerturbedNormal;
#endif`,Y_=`#ifdef USE_CLEARCOAT_NORMALMAP
	vec3 clearcoatMapN = texture2D( clearcoatNormalMap, vClearcoatNormalMapUv ).xyz * 2.0 - 1.0;
	clearcoatMapN.xy *= clearcoatNormalScale;
	clearcoatNormal = normalize( tbn2 * clearcoatMapN );
#endif`,Z_=`#ifdef USE_CLEARCOATMAP
	uniform sampler2D clearcoatMap;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	uniform sampler2D clearcoatNormalMap;
	uniform vec2 clearcoatNormalScale;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	uniform sampler2D clearcoatRoughnessMap;
#endif`,J_=`#ifdef USE_IRIDESCENCEMAP
	uniform sampler2D iridescenceMap;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	uniform sampler2D iridescenceThicknessMap;
#endif`,K_=`#ifdef OPAQUE
diffuseColor.a = 1.0;
#endif
#ifdef USE_TRANSMISSION
diffuseColor.a *= material.transmissionAlpha;
#endif
gl_FragColor = vec4( outgoingLight, diffuseColor.a );`,j_=`vec3 packNormalToRGB( const in vec3 normal ) {
	return normalize( normal ) * 0.5 + 0.5;
}
vec3 unpackRGBToNormal( const in vec3 rgb ) {
	return 2.0 * rgb.xyz - 1.0;
}
const float PackUpscale = 256. / 255.;const float UnpackDownscale = 255. / 256.;const float ShiftRight8 = 1. / 256.;
const float Inv255 = 1. / 255.;
const vec4 PackFactors = vec4( 1.0, 256.0, 256.0 * 256.0, 256.0 * 256.0 * 256.0 );
const vec2 UnpackFactors2 = vec2( UnpackDownscale, 1.0 / PackFactors.g );
const vec3 UnpackFactors3 = vec3( UnpackDownscale / PackFactors.rg, 1.0 / PackFactors.b );
const vec4 UnpackFactors4 = vec4( UnpackDownscale / PackFactors.rgb, 1.0 / PackFactors.a );
vec4 packDepthToRGBA( const in float v ) {
	if( v <= 0.0 )
		return vec4( 0., 0., 0., 0. );
	if( v >= 1.0 )
		return vec4( 1., 1., 1., 1. );
	float vuf;
	float af = modf( v * PackFactors.a, vuf );
	float bf = modf( vuf * ShiftRight8, vuf );
	float gf = modf( vuf * ShiftRight8, vuf );
	return vec4( vuf * Inv255, gf * PackUpscale, bf * PackUpscale, af );
}
vec3 packDepthToRGB( const in float v ) {
	if( v <= 0.0 )
		return vec3( 0., 0., 0. );
	if( v >= 1.0 )
		return vec3( 1., 1., 1. );
	float vuf;
	float bf = modf( v * PackFactors.b, vuf );
	float gf = modf( vuf * ShiftRight8, vuf );
	return vec3( vuf * Inv255, gf * PackUpscale, bf );
}
vec2 packDepthToRG( const in float v ) {
	if( v <= 0.0 )
		return vec2( 0., 0. );
	if( v >= 1.0 )
		return vec2( 1., 1. );
	float vuf;
	float gf = modf( v * 256., vuf );
	return vec2( vuf * Inv255, gf );
}
float unpackRGBAToDepth( const in vec4 v ) {
	return dot( v, UnpackFactors4 );
}
float unpackRGBToDepth( const in vec3 v ) {
	return dot( v, UnpackFactors3 );
}
float unpackRGToDepth( const in vec2 v ) {
	return v.r * UnpackFactors2.r + v.g * UnpackFactors2.g;
}
vec4 pack2HalfToRGBA( const in vec2 v ) {
	vec4 r = vec4( v.x, fract( v.x * 255.0 ), v.y, fract( v.y * 255.0 ) );
	return vec4( r.x - r.y / 255.0, r.y, r.z - r.w / 255.0, r.w );
}
vec2 unpackRGBATo2Half( const in vec4 v ) {
	return vec2( v.x + ( v.y / 255.0 ), v.z + ( v.w / 255.0 ) );
}
float viewZToOrthographicDepth( const in float viewZ, const in float near, const in float far ) {
	return ( viewZ + near ) / ( near - far );
}
float orthographicDepthToViewZ( const in float depth, const in float near, const in float far ) {
	#ifdef USE_REVERSED_DEPTH_BUFFER
	
		return depth * ( far - near ) - far;
	#else
		return depth * ( near - far ) - near;
	#endif
}
float viewZToPerspectiveDepth( const in float viewZ, const in float near, const in float far ) {
	return ( ( near + viewZ ) * far ) / ( ( far - near ) * viewZ );
}
float perspectiveDepthToViewZ( const in float depth, const in float near, const in float far ) {
	
	#ifdef USE_REVERSED_DEPTH_BUFFER
		return ( near * far ) / ( ( near - far ) * depth - near );
	#else
		return ( near * far ) / ( ( far - near ) * depth - far );
	#endif
}`,Q_=`#ifdef PREMULTIPLIED_ALPHA
	gl_FragColor.rgb *= gl_FragColor.a;
#endif`,tx=`vec4 mvPosition = vec4( transformed, 1.0 );
#ifdef USE_BATCHING
	mvPosition = batchingMatrix * mvPosition;
#endif
#ifdef USE_INSTANCING
	mvPosition = instanceMatrix * mvPosition;
#endif
mvPosition = modelViewMatrix * mvPosition;
gl_Position = projectionMatrix * mvPosition;`,ex=`#ifdef DITHERING
	gl_FragColor.rgb = dithering( gl_FragColor.rgb );
#endif`,nx=`#ifdef DITHERING
	vec3 dithering( vec3 color ) {
		float grid_position = rand( gl_FragCoord.xy );
		vec3 dither_shift_RGB = vec3( 0.25 / 255.0, -0.25 / 255.0, 0.25 / 255.0 );
		dither_shift_RGB = mix( 2.0 * dither_shift_RGB, -2.0 * dither_shift_RGB, grid_position );
		return color + dither_shift_RGB;
	}
#endif`,ix=`float roughnessFactor = roughness;
#ifdef USE_ROUGHNESSMAP
	vec4 texelRoughness = texture2D( roughnessMap, vRoughnessMapUv );
	roughnessFactor *= texelRoughness.g;
#endif`,sx=`#ifdef USE_ROUGHNESSMAP
	uniform sampler2D roughnessMap;
#endif`,rx=`#if NUM_SPOT_LIGHT_COORDS > 0
	varying vec4 vSpotLightCoord[ NUM_SPOT_LIGHT_COORDS ];
#endif
#if NUM_SPOT_LIGHT_MAPS > 0
	uniform sampler2D spotLightMap[ NUM_SPOT_LIGHT_MAPS ];
#endif
#ifdef USE_SHADOWMAP
	#if NUM_SUN_LIGHT_SHADOWS > 0
		#define SUN_LIGHT_CASCADES 2
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform sampler2DShadow sunShadowMap[ NUM_SUN_LIGHT_SHADOWS ];
		#else
			uniform sampler2D sunShadowMap[ NUM_SUN_LIGHT_SHADOWS ];
		#endif
		uniform mat4 sunShadowMatrix[ NUM_SUN_LIGHT_SHADOWS * SUN_LIGHT_CASCADES ];
		uniform vec4 sunShadowCascade[ NUM_SUN_LIGHT_SHADOWS * SUN_LIGHT_CASCADES ];
		varying vec4 vSunShadowWorldPosition;
		varying vec3 vSunShadowWorldNormal;
		struct SunLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform SunLightShadow sunLightShadows[ NUM_SUN_LIGHT_SHADOWS ];
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform sampler2DShadow directionalShadowMap[ NUM_DIR_LIGHT_SHADOWS ];
		#else
			uniform sampler2D directionalShadowMap[ NUM_DIR_LIGHT_SHADOWS ];
		#endif
		varying vec4 vDirectionalShadowCoord[ NUM_DIR_LIGHT_SHADOWS ];
		struct DirectionalLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform DirectionalLightShadow directionalLightShadows[ NUM_DIR_LIGHT_SHADOWS ];
	#endif
	#if NUM_SPOT_LIGHT_SHADOWS > 0
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform sampler2DShadow spotShadowMap[ NUM_SPOT_LIGHT_SHADOWS ];
		#else
			uniform sampler2D spotShadowMap[ NUM_SPOT_LIGHT_SHADOWS ];
		#endif
		struct SpotLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform SpotLightShadow spotLightShadows[ NUM_SPOT_LIGHT_SHADOWS ];
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
		#if defined( SHADOWMAP_TYPE_PCF )
			uniform samplerCubeShadow pointShadowMap[ NUM_POINT_LIGHT_SHADOWS ];
		#elif defined( SHADOWMAP_TYPE_BASIC )
			uniform samplerCube pointShadowMap[ NUM_POINT_LIGHT_SHADOWS ];
		#endif
		varying vec4 vPointShadowCoord[ NUM_POINT_LIGHT_SHADOWS ];
		struct PointLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
			float shadowCameraNear;
			float shadowCameraFar;
		};
		uniform PointLightShadow pointLightShadows[ NUM_POINT_LIGHT_SHADOWS ];
	#endif
	#if defined( SHADOWMAP_TYPE_PCF )
		float interleavedGradientNoise( vec2 position ) {
			return fract( 52.9829189 * fract( dot( position, vec2( 0.06711056, 0.00583715 ) ) ) );
		}
		vec2 vogelDiskSample( int sampleIndex, int samplesCount, float phi ) {
			const float goldenAngle = 2.399963229728653;
			float r = sqrt( ( float( sampleIndex ) + 0.5 ) / float( samplesCount ) );
			float theta = float( sampleIndex ) * goldenAngle + phi;
			return vec2( cos( theta ), sin( theta ) ) * r;
		}
	#endif
	#if defined( SHADOWMAP_TYPE_PCF )
		float getShadow( sampler2DShadow shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord ) {
			float shadow = 1.0;
			shadowCoord.xyz /= shadowCoord.w;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				shadowCoord.z -= shadowBias;
			#else
				shadowCoord.z += shadowBias;
			#endif
			bool inFrustum = shadowCoord.x >= 0.0 && shadowCoord.x <= 1.0 && shadowCoord.y >= 0.0 && shadowCoord.y <= 1.0;
			bool frustumTest = inFrustum && shadowCoord.z <= 1.0;
			if ( frustumTest ) {
				vec2 texelSize = vec2( 1.0 ) / shadowMapSize;
				vec2 radius = shadowRadius * texelSize;
				float phi = interleavedGradientNoise( gl_FragCoord.xy ) * PI2;
				shadow = (
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 0, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 1, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 2, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 3, 5, phi ) * radius, shadowCoord.z ) ) +
					texture( shadowMap, vec3( shadowCoord.xy + vogelDiskSample( 4, 5, phi ) * radius, shadowCoord.z ) )
				) * 0.2;
			}
			return mix( 1.0, shadow, shadowIntensity );
		}
	#elif defined( SHADOWMAP_TYPE_VSM )
		float getShadow( sampler2D shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord ) {
			float shadow = 1.0;
			shadowCoord.xyz /= shadowCoord.w;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				shadowCoord.z -= shadowBias;
			#else
				shadowCoord.z += shadowBias;
			#endif
			bool inFrustum = shadowCoord.x >= 0.0 && shadowCoord.x <= 1.0 && shadowCoord.y >= 0.0 && shadowCoord.y <= 1.0;
			bool frustumTest = inFrustum && shadowCoord.z <= 1.0;
			if ( frustumTest ) {
				vec2 distribution = texture2D( shadowMap, shadowCoord.xy ).rg;
				float mean = distribution.x;
				float variance = distribution.y * distribution.y;
				#ifdef USE_REVERSED_DEPTH_BUFFER
					float hard_shadow = step( mean, shadowCoord.z );
				#else
					float hard_shadow = step( shadowCoord.z, mean );
				#endif
				
				if ( hard_shadow == 1.0 ) {
					shadow = 1.0;
				} else {
					variance = max( variance, 0.0000001 );
					float d = shadowCoord.z - mean;
					float p_max = variance / ( variance + d * d );
					p_max = clamp( ( p_max - 0.3 ) / 0.65, 0.0, 1.0 );
					shadow = max( hard_shadow, p_max );
				}
			}
			return mix( 1.0, shadow, shadowIntensity );
		}
	#else
		float getShadow( sampler2D shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord ) {
			float shadow = 1.0;
			shadowCoord.xyz /= shadowCoord.w;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				shadowCoord.z -= shadowBias;
			#else
				shadowCoord.z += shadowBias;
			#endif
			bool inFrustum = shadowCoord.x >= 0.0 && shadowCoord.x <= 1.0 && shadowCoord.y >= 0.0 && shadowCoord.y <= 1.0;
			bool frustumTest = inFrustum && shadowCoord.z <= 1.0;
			if ( frustumTest ) {
				float depth = texture2D( shadowMap, shadowCoord.xy ).r;
				#ifdef USE_REVERSED_DEPTH_BUFFER
					shadow = step( depth, shadowCoord.z );
				#else
					shadow = step( shadowCoord.z, depth );
				#endif
			}
			return mix( 1.0, shadow, shadowIntensity );
		}
	#endif
	#if NUM_SUN_LIGHT_SHADOWS > 0
		float getSunShadow(
			#if defined( SHADOWMAP_TYPE_PCF )
				sampler2DShadow shadowMap,
			#else
				sampler2D shadowMap,
			#endif
			SunLightShadow sunLightShadow,
			int shadowIndex
		) {
			vec4 shadowWorldPosition = vec4( vSunShadowWorldPosition.xyz + vSunShadowWorldNormal * sunLightShadow.shadowNormalBias, 1.0 );
			float viewDepth = vSunShadowWorldPosition.w;
			int cascadeOffset = shadowIndex * SUN_LIGHT_CASCADES;
			float shadow = 1.0;
			for ( int i = SUN_LIGHT_CASCADES - 1; i >= 0; i -- ) {
				vec4 cascade = sunShadowCascade[ cascadeOffset + i ];
				if ( viewDepth >= cascade.x && viewDepth < cascade.y ) {
					float cascadeShadow = getShadow(
						shadowMap,
						sunLightShadow.shadowMapSize,
						sunLightShadow.shadowIntensity,
						sunLightShadow.shadowBias,
						sunLightShadow.shadowRadius,
						sunShadowMatrix[ cascadeOffset + i ] * shadowWorldPosition
					);
					shadow = mix( cascadeShadow, shadow, smoothstep( cascade.z, cascade.y, viewDepth ) );
				}
			}
			return shadow;
		}
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
	#if defined( SHADOWMAP_TYPE_PCF )
	float getPointShadow( samplerCubeShadow shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord, float shadowCameraNear, float shadowCameraFar ) {
		float shadow = 1.0;
		vec3 lightToPosition = shadowCoord.xyz;
		vec3 bd3D = normalize( lightToPosition );
		vec3 absVec = abs( lightToPosition );
		float viewSpaceZ = max( max( absVec.x, absVec.y ), absVec.z );
		if ( viewSpaceZ - shadowCameraFar <= 0.0 && viewSpaceZ - shadowCameraNear >= 0.0 ) {
			float lightDistance = length( lightToPosition );
			float depthRange = shadowCameraFar - shadowCameraNear;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				float depthA = - shadowCameraNear / depthRange - shadowBias;
				float depthB = shadowCameraNear * shadowCameraFar / ( depthRange * lightDistance );
			#else
				float depthA = shadowCameraFar / depthRange + shadowBias;
				float depthB = - shadowCameraNear * shadowCameraFar / ( depthRange * lightDistance );
			#endif
			float texelSize = shadowRadius / shadowMapSize.x;
			vec3 absDir = abs( bd3D );
			vec3 tangent = absDir.x > absDir.z ? vec3( 0.0, 1.0, 0.0 ) : vec3( 1.0, 0.0, 0.0 );
			tangent = normalize( cross( bd3D, tangent ) );
			vec3 bitangent = cross( bd3D, tangent );
			float phi = interleavedGradientNoise( gl_FragCoord.xy ) * PI2;
			shadow = 0.0;
			for ( int i = 0; i < 5; i ++ ) {
				vec2 offset = vogelDiskSample( i, 5, phi );
				vec3 direction = bd3D + ( tangent * offset.x + bitangent * offset.y ) * texelSize;
				vec3 absDirection = abs( direction );
				float dp = depthA + depthB / max( max( absDirection.x, absDirection.y ), absDirection.z );
				shadow += texture( shadowMap, vec4( direction, dp ) );
			}
			shadow *= 0.2;
		}
		return mix( 1.0, shadow, shadowIntensity );
	}
	#elif defined( SHADOWMAP_TYPE_BASIC )
	float getPointShadow( samplerCube shadowMap, vec2 shadowMapSize, float shadowIntensity, float shadowBias, float shadowRadius, vec4 shadowCoord, float shadowCameraNear, float shadowCameraFar ) {
		float shadow = 1.0;
		vec3 lightToPosition = shadowCoord.xyz;
		vec3 absVec = abs( lightToPosition );
		float viewSpaceZ = max( max( absVec.x, absVec.y ), absVec.z );
		if ( viewSpaceZ - shadowCameraFar <= 0.0 && viewSpaceZ - shadowCameraNear >= 0.0 ) {
			float dp = ( shadowCameraFar * ( viewSpaceZ - shadowCameraNear ) ) / ( viewSpaceZ * ( shadowCameraFar - shadowCameraNear ) );
			dp += shadowBias;
			vec3 bd3D = normalize( lightToPosition );
			float depth = textureCube( shadowMap, bd3D ).r;
			#ifdef USE_REVERSED_DEPTH_BUFFER
				depth = 1.0 - depth;
			#endif
			shadow = step( dp, depth );
		}
		return mix( 1.0, shadow, shadowIntensity );
	}
	#endif
	#endif
#endif`,ox=`#if NUM_SPOT_LIGHT_COORDS > 0
	uniform mat4 spotLightMatrix[ NUM_SPOT_LIGHT_COORDS ];
	varying vec4 vSpotLightCoord[ NUM_SPOT_LIGHT_COORDS ];
#endif
#ifdef USE_SHADOWMAP
	#if NUM_SUN_LIGHT_SHADOWS > 0
		varying vec4 vSunShadowWorldPosition;
		varying vec3 vSunShadowWorldNormal;
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
		uniform mat4 directionalShadowMatrix[ NUM_DIR_LIGHT_SHADOWS ];
		varying vec4 vDirectionalShadowCoord[ NUM_DIR_LIGHT_SHADOWS ];
		struct DirectionalLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform DirectionalLightShadow directionalLightShadows[ NUM_DIR_LIGHT_SHADOWS ];
	#endif
	#if NUM_SPOT_LIGHT_SHADOWS > 0
		struct SpotLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
		};
		uniform SpotLightShadow spotLightShadows[ NUM_SPOT_LIGHT_SHADOWS ];
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
		uniform mat4 pointShadowMatrix[ NUM_POINT_LIGHT_SHADOWS ];
		varying vec4 vPointShadowCoord[ NUM_POINT_LIGHT_SHADOWS ];
		struct PointLightShadow {
			float shadowIntensity;
			float shadowBias;
			float shadowNormalBias;
			float shadowRadius;
			vec2 shadowMapSize;
			float shadowCameraNear;
			float shadowCameraFar;
		};
		uniform PointLightShadow pointLightShadows[ NUM_POINT_LIGHT_SHADOWS ];
	#endif
#endif`,ax=`#if ( defined( USE_SHADOWMAP ) && ( NUM_DIR_LIGHT_SHADOWS > 0 || NUM_SUN_LIGHT_SHADOWS > 0 || NUM_POINT_LIGHT_SHADOWS > 0 ) ) || ( NUM_SPOT_LIGHT_COORDS > 0 )
	#ifdef HAS_NORMAL
		vec3 shadowWorldNormal = transformNormalByInverseViewMatrix( transformedNormal, viewMatrix );
	#else
		vec3 shadowWorldNormal = vec3( 0.0 );
	#endif
	vec4 shadowWorldPosition;
#endif
#if defined( USE_SHADOWMAP )
	#if NUM_SUN_LIGHT_SHADOWS > 0
		vSunShadowWorldPosition = vec4( worldPosition.xyz, - mvPosition.z );
		vSunShadowWorldNormal = shadowWorldNormal;
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_DIR_LIGHT_SHADOWS; i ++ ) {
			shadowWorldPosition = worldPosition + vec4( shadowWorldNormal * directionalLightShadows[ i ].shadowNormalBias, 0 );
			vDirectionalShadowCoord[ i ] = directionalShadowMatrix[ i ] * shadowWorldPosition;
		}
		#pragma unroll_loop_end
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0
		#pragma unroll_loop_start
		for ( int i = 0; i < NUM_POINT_LIGHT_SHADOWS; i ++ ) {
			shadowWorldPosition = worldPosition + vec4( shadowWorldNormal * pointLightShadows[ i ].shadowNormalBias, 0 );
			vPointShadowCoord[ i ] = pointShadowMatrix[ i ] * shadowWorldPosition;
		}
		#pragma unroll_loop_end
	#endif
#endif
#if NUM_SPOT_LIGHT_COORDS > 0
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SPOT_LIGHT_COORDS; i ++ ) {
		shadowWorldPosition = worldPosition;
		#if ( defined( USE_SHADOWMAP ) && UNROLLED_LOOP_INDEX < NUM_SPOT_LIGHT_SHADOWS )
			shadowWorldPosition.xyz += shadowWorldNormal * spotLightShadows[ i ].shadowNormalBias;
		#endif
		vSpotLightCoord[ i ] = spotLightMatrix[ i ] * shadowWorldPosition;
	}
	#pragma unroll_loop_end
#endif`,lx=`float getShadowMask() {
	float shadow = 1.0;
	#ifdef USE_SHADOWMAP
	#if NUM_SUN_LIGHT_SHADOWS > 0
	SunLightShadow sunLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SUN_LIGHT_SHADOWS; i ++ ) {
		sunLight = sunLightShadows[ i ];
		shadow *= receiveShadow ? getSunShadow( sunShadowMap[ i ], sunLight, UNROLLED_LOOP_INDEX ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#if NUM_DIR_LIGHT_SHADOWS > 0
	DirectionalLightShadow directionalLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_DIR_LIGHT_SHADOWS; i ++ ) {
		directionalLight = directionalLightShadows[ i ];
		shadow *= receiveShadow ? getShadow( directionalShadowMap[ i ], directionalLight.shadowMapSize, directionalLight.shadowIntensity, directionalLight.shadowBias, directionalLight.shadowRadius, vDirectionalShadowCoord[ i ] ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#if NUM_SPOT_LIGHT_SHADOWS > 0
	SpotLightShadow spotLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_SPOT_LIGHT_SHADOWS; i ++ ) {
		spotLight = spotLightShadows[ i ];
		shadow *= receiveShadow ? getShadow( spotShadowMap[ i ], spotLight.shadowMapSize, spotLight.shadowIntensity, spotLight.shadowBias, spotLight.shadowRadius, vSpotLightCoord[ i ] ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#if NUM_POINT_LIGHT_SHADOWS > 0 && ( defined( SHADOWMAP_TYPE_PCF ) || defined( SHADOWMAP_TYPE_BASIC ) )
	PointLightShadow pointLight;
	#pragma unroll_loop_start
	for ( int i = 0; i < NUM_POINT_LIGHT_SHADOWS; i ++ ) {
		pointLight = pointLightShadows[ i ];
		shadow *= receiveShadow ? getPointShadow( pointShadowMap[ i ], pointLight.shadowMapSize, pointLight.shadowIntensity, pointLight.shadowBias, pointLight.shadowRadius, vPointShadowCoord[ i ], pointLight.shadowCameraNear, pointLight.shadowCameraFar ) : 1.0;
	}
	#pragma unroll_loop_end
	#endif
	#endif
	return shadow;
}`,cx=`#ifdef USE_SKINNING
	mat4 boneMatX = getBoneMatrix( skinIndex.x );
	mat4 boneMatY = getBoneMatrix( skinIndex.y );
	mat4 boneMatZ = getBoneMatrix( skinIndex.z );
	mat4 boneMatW = getBoneMatrix( skinIndex.w );
#endif`,hx=`#ifdef USE_SKINNING
	uniform mat4 bindMatrix;
	uniform mat4 bindMatrixInverse;
	uniform highp sampler2D boneTexture;
	mat4 getBoneMatrix( const in float i ) {
		int size = textureSize( boneTexture, 0 ).x;
		int j = int( i ) * 4;
		int x = j % size;
		int y = j / size;
		vec4 v1 = texelFetch( boneTexture, ivec2( x, y ), 0 );
		vec4 v2 = texelFetch( boneTexture, ivec2( x + 1, y ), 0 );
		vec4 v3 = texelFetch( boneTexture, ivec2( x + 2, y ), 0 );
		vec4 v4 = texelFetch( boneTexture, ivec2( x + 3, y ), 0 );
		return mat4( v1, v2, v3, v4 );
	}
#endif`,ux=`#ifdef USE_SKINNING
	vec4 skinVertex = bindMatrix * vec4( transformed, 1.0 );
	vec4 skinned = vec4( 0.0 );
	skinned += boneMatX * skinVertex * skinWeight.x;
	skinned += boneMatY * skinVertex * skinWeight.y;
	skinned += boneMatZ * skinVertex * skinWeight.z;
	skinned += boneMatW * skinVertex * skinWeight.w;
	transformed = ( bindMatrixInverse * skinned ).xyz;
#endif`,dx=`#ifdef USE_SKINNING
	mat4 skinMatrix = mat4( 0.0 );
	skinMatrix += skinWeight.x * boneMatX;
	skinMatrix += skinWeight.y * boneMatY;
	skinMatrix += skinWeight.z * boneMatZ;
	skinMatrix += skinWeight.w * boneMatW;
	skinMatrix = bindMatrixInverse * skinMatrix * bindMatrix;
	objectNormal = vec4( skinMatrix * vec4( objectNormal, 0.0 ) ).xyz;
	#ifdef USE_TANGENT
		objectTangent = vec4( skinMatrix * vec4( objectTangent, 0.0 ) ).xyz;
	#endif
#endif`,fx=`float specularStrength;
#ifdef USE_SPECULARMAP
	vec4 texelSpecular = texture2D( specularMap, vSpecularMapUv );
	specularStrength = texelSpecular.r;
#else
	specularStrength = 1.0;
#endif`,px=`#ifdef USE_SPECULARMAP
	uniform sampler2D specularMap;
#endif`,mx=`#if defined( TONE_MAPPING )
	gl_FragColor.rgb = toneMapping( gl_FragColor.rgb );
#endif`,gx=`#ifndef saturate
#define saturate( a ) clamp( a, 0.0, 1.0 )
#endif
uniform float toneMappingExposure;
vec3 LinearToneMapping( vec3 color ) {
	return saturate( toneMappingExposure * color );
}
vec3 ReinhardToneMapping( vec3 color ) {
	color *= toneMappingExposure;
	return saturate( color / ( vec3( 1.0 ) + color ) );
}
vec3 CineonToneMapping( vec3 color ) {
	color *= toneMappingExposure;
	color = max( vec3( 0.0 ), color - 0.004 );
	return pow( ( color * ( 6.2 * color + 0.5 ) ) / ( color * ( 6.2 * color + 1.7 ) + 0.06 ), vec3( 2.2 ) );
}
vec3 RRTAndODTFit( vec3 v ) {
	vec3 a = v * ( v + 0.0245786 ) - 0.000090537;
	vec3 b = v * ( 0.983729 * v + 0.4329510 ) + 0.238081;
	return a / b;
}
vec3 ACESFilmicToneMapping( vec3 color ) {
	const mat3 ACESInputMat = mat3(
		vec3( 0.59719, 0.07600, 0.02840 ),		vec3( 0.35458, 0.90834, 0.13383 ),
		vec3( 0.04823, 0.01566, 0.83777 )
	);
	const mat3 ACESOutputMat = mat3(
		vec3(  1.60475, -0.10208, -0.00327 ),		vec3( -0.53108,  1.10813, -0.07276 ),
		vec3( -0.07367, -0.00605,  1.07602 )
	);
	color *= toneMappingExposure / 0.6;
	color = ACESInputMat * color;
	color = RRTAndODTFit( color );
	color = ACESOutputMat * color;
	return saturate( color );
}
const mat3 LINEAR_REC2020_TO_LINEAR_SRGB = mat3(
	vec3( 1.6605, - 0.1246, - 0.0182 ),
	vec3( - 0.5876, 1.1329, - 0.1006 ),
	vec3( - 0.0728, - 0.0083, 1.1187 )
);
const mat3 LINEAR_SRGB_TO_LINEAR_REC2020 = mat3(
	vec3( 0.6274, 0.0691, 0.0164 ),
	vec3( 0.3293, 0.9195, 0.0880 ),
	vec3( 0.0433, 0.0113, 0.8956 )
);
vec3 agxDefaultContrastApprox( vec3 x ) {
	vec3 x2 = x * x;
	vec3 x4 = x2 * x2;
	return + 15.5 * x4 * x2
		- 40.14 * x4 * x
		+ 31.96 * x4
		- 6.868 * x2 * x
		+ 0.4298 * x2
		+ 0.1191 * x
		- 0.00232;
}
vec3 AgXToneMapping( vec3 color ) {
	const mat3 AgXInsetMatrix = mat3(
		vec3( 0.856627153315983, 0.137318972929847, 0.11189821299995 ),
		vec3( 0.0951212405381588, 0.761241990602591, 0.0767994186031903 ),
		vec3( 0.0482516061458583, 0.101439036467562, 0.811302368396859 )
	);
	const mat3 AgXOutsetMatrix = mat3(
		vec3( 1.1271005818144368, - 0.1413297634984383, - 0.14132976349843826 ),
		vec3( - 0.11060664309660323, 1.157823702216272, - 0.11060664309660294 ),
		vec3( - 0.016493938717834573, - 0.016493938717834257, 1.2519364065950405 )
	);
	const float AgxMinEv = - 12.47393;	const float AgxMaxEv = 4.026069;
	color *= toneMappingExposure;
	color = LINEAR_SRGB_TO_LINEAR_REC2020 * color;
	color = AgXInsetMatrix * color;
	color = max( color, 1e-10 );	color = log2( color );
	color = ( color - AgxMinEv ) / ( AgxMaxEv - AgxMinEv );
	color = clamp( color, 0.0, 1.0 );
	color = agxDefaultContrastApprox( color );
	color = AgXOutsetMatrix * color;
	color = pow( max( vec3( 0.0 ), color ), vec3( 2.2 ) );
	color = LINEAR_REC2020_TO_LINEAR_SRGB * color;
	color = clamp( color, 0.0, 1.0 );
	return color;
}
vec3 NeutralToneMapping( vec3 color ) {
	const float StartCompression = 0.8 - 0.04;
	const float Desaturation = 0.15;
	color *= toneMappingExposure;
	float x = min( color.r, min( color.g, color.b ) );
	float offset = x < 0.08 ? x - 6.25 * x * x : 0.04;
	color -= offset;
	float peak = max( color.r, max( color.g, color.b ) );
	if ( peak < StartCompression ) return color;
	float d = 1. - StartCompression;
	float newPeak = 1. - d * d / ( peak + d - StartCompression );
	color *= newPeak / peak;
	float g = 1. - 1. / ( Desaturation * ( peak - newPeak ) + 1. );
	return mix( color, vec3( newPeak ), g );
}
vec3 CustomToneMapping( vec3 color ) { return color; }`,_x=`#ifdef USE_TRANSMISSION
	material.transmission = transmission;
	material.transmissionAlpha = 1.0;
	material.thickness = thickness;
	material.attenuationDistance = attenuationDistance;
	material.attenuationColor = attenuationColor;
	#ifdef USE_TRANSMISSIONMAP
		material.transmission *= texture2D( transmissionMap, vTransmissionMapUv ).r;
	#endif
	#ifdef USE_THICKNESSMAP
		material.thickness *= texture2D( thicknessMap, vThicknessMapUv ).g;
	#endif
	vec3 pos = vWorldPosition;
	vec3 v = normalize( cameraPosition - pos );
	vec3 n = transformNormalByInverseViewMatrix( normal, viewMatrix );
	vec4 transmitted = getIBLVolumeRefraction(
		n, v, material.roughness, material.diffuseContribution, material.specularColorBlended, material.specularF90,
		pos, modelMatrix, viewMatrix, projectionMatrix, material.dispersion, material.ior, material.thickness,
		material.attenuationColor, material.attenuationDistance );
	material.transmissionAlpha = mix( material.transmissionAlpha, transmitted.a, material.transmission );
	totalDiffuse = mix( totalDiffuse, transmitted.rgb, material.transmission );
#endif`,xx=`#ifdef USE_TRANSMISSION
	uniform float transmission;
	uniform float thickness;
	uniform float attenuationDistance;
	uniform vec3 attenuationColor;
	#ifdef USE_TRANSMISSIONMAP
		uniform sampler2D transmissionMap;
	#endif
	#ifdef USE_THICKNESSMAP
		uniform sampler2D thicknessMap;
	#endif
	uniform vec2 transmissionSamplerSize;
	uniform sampler2D transmissionSamplerMap;
	uniform mat4 modelMatrix;
	uniform mat4 projectionMatrix;
	varying vec3 vWorldPosition;
	float w0( float a ) {
		return ( 1.0 / 6.0 ) * ( a * ( a * ( - a + 3.0 ) - 3.0 ) + 1.0 );
	}
	float w1( float a ) {
		return ( 1.0 / 6.0 ) * ( a *  a * ( 3.0 * a - 6.0 ) + 4.0 );
	}
	float w2( float a ){
		return ( 1.0 / 6.0 ) * ( a * ( a * ( - 3.0 * a + 3.0 ) + 3.0 ) + 1.0 );
	}
	float w3( float a ) {
		return ( 1.0 / 6.0 ) * ( a * a * a );
	}
	float g0( float a ) {
		return w0( a ) + w1( a );
	}
	float g1( float a ) {
		return w2( a ) + w3( a );
	}
	float h0( float a ) {
		return - 1.0 + w1( a ) / ( w0( a ) + w1( a ) );
	}
	float h1( float a ) {
		return 1.0 + w3( a ) / ( w2( a ) + w3( a ) );
	}
	vec4 bicubic( sampler2D tex, vec2 uv, vec4 texelSize, float lod ) {
		uv = uv * texelSize.zw + 0.5;
		vec2 iuv = floor( uv );
		vec2 fuv = fract( uv );
		float g0x = g0( fuv.x );
		float g1x = g1( fuv.x );
		float h0x = h0( fuv.x );
		float h1x = h1( fuv.x );
		float h0y = h0( fuv.y );
		float h1y = h1( fuv.y );
		vec2 p0 = ( vec2( iuv.x + h0x, iuv.y + h0y ) - 0.5 ) * texelSize.xy;
		vec2 p1 = ( vec2( iuv.x + h1x, iuv.y + h0y ) - 0.5 ) * texelSize.xy;
		vec2 p2 = ( vec2( iuv.x + h0x, iuv.y + h1y ) - 0.5 ) * texelSize.xy;
		vec2 p3 = ( vec2( iuv.x + h1x, iuv.y + h1y ) - 0.5 ) * texelSize.xy;
		return g0( fuv.y ) * ( g0x * textureLod( tex, p0, lod ) + g1x * textureLod( tex, p1, lod ) ) +
			g1( fuv.y ) * ( g0x * textureLod( tex, p2, lod ) + g1x * textureLod( tex, p3, lod ) );
	}
	vec4 textureBicubic( sampler2D sampler, vec2 uv, float lod ) {
		vec2 fLodSize = vec2( textureSize( sampler, int( lod ) ) );
		vec2 cLodSize = vec2( textureSize( sampler, int( lod + 1.0 ) ) );
		vec2 fLodSizeInv = 1.0 / fLodSize;
		vec2 cLodSizeInv = 1.0 / cLodSize;
		vec4 fSample = bicubic( sampler, uv, vec4( fLodSizeInv, fLodSize ), floor( lod ) );
		vec4 cSample = bicubic( sampler, uv, vec4( cLodSizeInv, cLodSize ), ceil( lod ) );
		return mix( fSample, cSample, fract( lod ) );
	}
	vec3 getVolumeTransmissionRay( const in vec3 n, const in vec3 v, const in float thickness, const in float ior, const in mat4 modelMatrix ) {
		vec3 refractionVector = refract( - v, normalize( n ), 1.0 / ior );
		vec3 modelScale;
		modelScale.x = length( vec3( modelMatrix[ 0 ].xyz ) );
		modelScale.y = length( vec3( modelMatrix[ 1 ].xyz ) );
		modelScale.z = length( vec3( modelMatrix[ 2 ].xyz ) );
		return normalize( refractionVector ) * thickness * modelScale;
	}
	float applyIorToRoughness( const in float roughness, const in float ior ) {
		return roughness * clamp( ior * 2.0 - 2.0, 0.0, 1.0 );
	}
	vec4 getTransmissionSample( const in vec2 fragCoord, const in float roughness, const in float ior ) {
		float lod = log2( transmissionSamplerSize.x ) * applyIorToRoughness( roughness, ior );
		return textureBicubic( transmissionSamplerMap, fragCoord.xy, lod );
	}
	vec3 volumeAttenuation( const in float transmissionDistance, const in vec3 attenuationColor, const in float attenuationDistance ) {
		if ( isinf( attenuationDistance ) ) {
			return vec3( 1.0 );
		} else {
			vec3 attenuationCoefficient = -log( attenuationColor ) / attenuationDistance;
			vec3 transmittance = exp( - attenuationCoefficient * transmissionDistance );			return transmittance;
		}
	}
	vec4 getIBLVolumeRefraction( const in vec3 n, const in vec3 v, const in float roughness, const in vec3 diffuseColor,
		const in vec3 specularColor, const in float specularF90, const in vec3 position, const in mat4 modelMatrix,
		const in mat4 viewMatrix, const in mat4 projMatrix, const in float dispersion, const in float ior, const in float thickness,
		const in vec3 attenuationColor, const in float attenuationDistance ) {
		vec4 transmittedLight;
		vec3 transmittance;
		#ifdef USE_DISPERSION
			float halfSpread = ( ior - 1.0 ) * 0.025 * dispersion;
			vec3 iors = vec3( ior - halfSpread, ior, ior + halfSpread );
			for ( int i = 0; i < 3; i ++ ) {
				vec3 transmissionRay = getVolumeTransmissionRay( n, v, thickness, iors[ i ], modelMatrix );
				vec3 refractedRayExit = position + transmissionRay;
				vec4 ndcPos = projMatrix * viewMatrix * vec4( refractedRayExit, 1.0 );
				vec2 refractionCoords = ndcPos.xy / ndcPos.w;
				refractionCoords += 1.0;
				refractionCoords /= 2.0;
				vec4 transmissionSample = getTransmissionSample( refractionCoords, roughness, iors[ i ] );
				transmittedLight[ i ] = transmissionSample[ i ];
				transmittedLight.a += transmissionSample.a;
				transmittance[ i ] = diffuseColor[ i ] * volumeAttenuation( length( transmissionRay ), attenuationColor, attenuationDistance )[ i ];
			}
			transmittedLight.a /= 3.0;
		#else
			vec3 transmissionRay = getVolumeTransmissionRay( n, v, thickness, ior, modelMatrix );
			vec3 refractedRayExit = position + transmissionRay;
			vec4 ndcPos = projMatrix * viewMatrix * vec4( refractedRayExit, 1.0 );
			vec2 refractionCoords = ndcPos.xy / ndcPos.w;
			refractionCoords += 1.0;
			refractionCoords /= 2.0;
			transmittedLight = getTransmissionSample( refractionCoords, roughness, ior );
			transmittance = diffuseColor * volumeAttenuation( length( transmissionRay ), attenuationColor, attenuationDistance );
		#endif
		vec3 attenuatedColor = transmittance * transmittedLight.rgb;
		vec3 F = EnvironmentBRDF( n, v, specularColor, specularF90, roughness );
		float transmittanceFactor = ( transmittance.r + transmittance.g + transmittance.b ) / 3.0;
		return vec4( ( 1.0 - F ) * attenuatedColor, 1.0 - ( 1.0 - transmittedLight.a ) * transmittanceFactor );
	}
#endif`,vx=`#if defined( USE_UV ) || defined( USE_ANISOTROPY )
	varying vec2 vUv;
#endif
#ifdef USE_MAP
	varying vec2 vMapUv;
#endif
#ifdef USE_ALPHAMAP
	varying vec2 vAlphaMapUv;
#endif
#ifdef USE_LIGHTMAP
	varying vec2 vLightMapUv;
#endif
#ifdef USE_AOMAP
	varying vec2 vAoMapUv;
#endif
#ifdef USE_BUMPMAP
	varying vec2 vBumpMapUv;
#endif
#ifdef USE_NORMALMAP
	varying vec2 vNormalMapUv;
#endif
#ifdef USE_EMISSIVEMAP
	varying vec2 vEmissiveMapUv;
#endif
#ifdef USE_METALNESSMAP
	varying vec2 vMetalnessMapUv;
#endif
#ifdef USE_ROUGHNESSMAP
	varying vec2 vRoughnessMapUv;
#endif
#ifdef USE_DIFFUSE_ROUGHNESSMAP
	varying vec2 vDiffuseRoughnessMapUv;
#endif
#ifdef USE_ANISOTROPYMAP
	varying vec2 vAnisotropyMapUv;
#endif
#ifdef USE_CLEARCOATMAP
	varying vec2 vClearcoatMapUv;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	varying vec2 vClearcoatNormalMapUv;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	varying vec2 vClearcoatRoughnessMapUv;
#endif
#ifdef USE_IRIDESCENCEMAP
	varying vec2 vIridescenceMapUv;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	varying vec2 vIridescenceThicknessMapUv;
#endif
#ifdef USE_SHEEN_COLORMAP
	varying vec2 vSheenColorMapUv;
#endif
#ifdef USE_SHEEN_ROUGHNESSMAP
	varying vec2 vSheenRoughnessMapUv;
#endif
#ifdef USE_SPECULARMAP
	varying vec2 vSpecularMapUv;
#endif
#ifdef USE_SPECULAR_COLORMAP
	varying vec2 vSpecularColorMapUv;
#endif
#ifdef USE_SPECULAR_INTENSITYMAP
	varying vec2 vSpecularIntensityMapUv;
#endif
#ifdef USE_TRANSMISSIONMAP
	uniform mat3 transmissionMapTransform;
	varying vec2 vTransmissionMapUv;
#endif
#ifdef USE_THICKNESSMAP
	uniform mat3 thicknessMapTransform;
	varying vec2 vThicknessMapUv;
#endif`,yx=`#if defined( USE_UV ) || defined( USE_ANISOTROPY )
	varying vec2 vUv;
#endif
#ifdef USE_MAP
	uniform mat3 mapTransform;
	varying vec2 vMapUv;
#endif
#ifdef USE_ALPHAMAP
	uniform mat3 alphaMapTransform;
	varying vec2 vAlphaMapUv;
#endif
#ifdef USE_LIGHTMAP
	uniform mat3 lightMapTransform;
	varying vec2 vLightMapUv;
#endif
#ifdef USE_AOMAP
	uniform mat3 aoMapTransform;
	varying vec2 vAoMapUv;
#endif
#ifdef USE_BUMPMAP
	uniform mat3 bumpMapTransform;
	varying vec2 vBumpMapUv;
#endif
#ifdef USE_NORMALMAP
	uniform mat3 normalMapTransform;
	varying vec2 vNormalMapUv;
#endif
#ifdef USE_DISPLACEMENTMAP
	uniform mat3 displacementMapTransform;
	varying vec2 vDisplacementMapUv;
#endif
#ifdef USE_EMISSIVEMAP
	uniform mat3 emissiveMapTransform;
	varying vec2 vEmissiveMapUv;
#endif
#ifdef USE_METALNESSMAP
	uniform mat3 metalnessMapTransform;
	varying vec2 vMetalnessMapUv;
#endif
#ifdef USE_ROUGHNESSMAP
	uniform mat3 roughnessMapTransform;
	varying vec2 vRoughnessMapUv;
#endif
#ifdef USE_DIFFUSE_ROUGHNESSMAP
	uniform mat3 diffuseRoughnessMapTransform;
	varying vec2 vDiffuseRoughnessMapUv;
#endif
#ifdef USE_ANISOTROPYMAP
	uniform mat3 anisotropyMapTransform;
	varying vec2 vAnisotropyMapUv;
#endif
#ifdef USE_CLEARCOATMAP
	uniform mat3 clearcoatMapTransform;
	varying vec2 vClearcoatMapUv;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	uniform mat3 clearcoatNormalMapTransform;
	varying vec2 vClearcoatNormalMapUv;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	uniform mat3 clearcoatRoughnessMapTransform;
	varying vec2 vClearcoatRoughnessMapUv;
#endif
#ifdef USE_SHEEN_COLORMAP
	uniform mat3 sheenColorMapTransform;
	varying vec2 vSheenColorMapUv;
#endif
#ifdef USE_SHEEN_ROUGHNESSMAP
	uniform mat3 sheenRoughnessMapTransform;
	varying vec2 vSheenRoughnessMapUv;
#endif
#ifdef USE_IRIDESCENCEMAP
	uniform mat3 iridescenceMapTransform;
	varying vec2 vIridescenceMapUv;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	uniform mat3 iridescenceThicknessMapTransform;
	varying vec2 vIridescenceThicknessMapUv;
#endif
#ifdef USE_SPECULARMAP
	uniform mat3 specularMapTransform;
	varying vec2 vSpecularMapUv;
#endif
#ifdef USE_SPECULAR_COLORMAP
	uniform mat3 specularColorMapTransform;
	varying vec2 vSpecularColorMapUv;
#endif
#ifdef USE_SPECULAR_INTENSITYMAP
	uniform mat3 specularIntensityMapTransform;
	varying vec2 vSpecularIntensityMapUv;
#endif
#ifdef USE_TRANSMISSIONMAP
	uniform mat3 transmissionMapTransform;
	varying vec2 vTransmissionMapUv;
#endif
#ifdef USE_THICKNESSMAP
	uniform mat3 thicknessMapTransform;
	varying vec2 vThicknessMapUv;
#endif`,Mx=`#if defined( USE_UV ) || defined( USE_ANISOTROPY )
	vUv = vec3( uv, 1 ).xy;
#endif
#ifdef USE_MAP
	vMapUv = ( mapTransform * vec3( MAP_UV, 1 ) ).xy;
#endif
#ifdef USE_ALPHAMAP
	vAlphaMapUv = ( alphaMapTransform * vec3( ALPHAMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_LIGHTMAP
	vLightMapUv = ( lightMapTransform * vec3( LIGHTMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_AOMAP
	vAoMapUv = ( aoMapTransform * vec3( AOMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_BUMPMAP
	vBumpMapUv = ( bumpMapTransform * vec3( BUMPMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_NORMALMAP
	vNormalMapUv = ( normalMapTransform * vec3( NORMALMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_DISPLACEMENTMAP
	vDisplacementMapUv = ( displacementMapTransform * vec3( DISPLACEMENTMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_EMISSIVEMAP
	vEmissiveMapUv = ( emissiveMapTransform * vec3( EMISSIVEMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_METALNESSMAP
	vMetalnessMapUv = ( metalnessMapTransform * vec3( METALNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_ROUGHNESSMAP
	vRoughnessMapUv = ( roughnessMapTransform * vec3( ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_DIFFUSE_ROUGHNESSMAP
	vDiffuseRoughnessMapUv = ( diffuseRoughnessMapTransform * vec3( DIFFUSE_ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_ANISOTROPYMAP
	vAnisotropyMapUv = ( anisotropyMapTransform * vec3( ANISOTROPYMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_CLEARCOATMAP
	vClearcoatMapUv = ( clearcoatMapTransform * vec3( CLEARCOATMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_CLEARCOAT_NORMALMAP
	vClearcoatNormalMapUv = ( clearcoatNormalMapTransform * vec3( CLEARCOAT_NORMALMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_CLEARCOAT_ROUGHNESSMAP
	vClearcoatRoughnessMapUv = ( clearcoatRoughnessMapTransform * vec3( CLEARCOAT_ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_IRIDESCENCEMAP
	vIridescenceMapUv = ( iridescenceMapTransform * vec3( IRIDESCENCEMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_IRIDESCENCE_THICKNESSMAP
	vIridescenceThicknessMapUv = ( iridescenceThicknessMapTransform * vec3( IRIDESCENCE_THICKNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SHEEN_COLORMAP
	vSheenColorMapUv = ( sheenColorMapTransform * vec3( SHEEN_COLORMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SHEEN_ROUGHNESSMAP
	vSheenRoughnessMapUv = ( sheenRoughnessMapTransform * vec3( SHEEN_ROUGHNESSMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SPECULARMAP
	vSpecularMapUv = ( specularMapTransform * vec3( SPECULARMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SPECULAR_COLORMAP
	vSpecularColorMapUv = ( specularColorMapTransform * vec3( SPECULAR_COLORMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_SPECULAR_INTENSITYMAP
	vSpecularIntensityMapUv = ( specularIntensityMapTransform * vec3( SPECULAR_INTENSITYMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_TRANSMISSIONMAP
	vTransmissionMapUv = ( transmissionMapTransform * vec3( TRANSMISSIONMAP_UV, 1 ) ).xy;
#endif
#ifdef USE_THICKNESSMAP
	vThicknessMapUv = ( thicknessMapTransform * vec3( THICKNESSMAP_UV, 1 ) ).xy;
#endif`,Sx=`#if defined( USE_ENVMAP ) || defined( DISTANCE ) || defined ( USE_SHADOWMAP ) || defined ( USE_TRANSMISSION ) || NUM_SPOT_LIGHT_COORDS > 0
	vec4 worldPosition = vec4( transformed, 1.0 );
	#ifdef USE_BATCHING
		worldPosition = batchingMatrix * worldPosition;
	#endif
	#ifdef USE_INSTANCING
		worldPosition = instanceMatrix * worldPosition;
	#endif
	worldPosition = modelMatrix * worldPosition;
#endif`,bx=`varying vec2 vUv;
uniform mat3 uvTransform;
void main() {
	vUv = ( uvTransform * vec3( uv, 1 ) ).xy;
	gl_Position = vec4( position.xy, 1.0, 1.0 );
}`,wx=`uniform sampler2D t2D;
uniform float backgroundIntensity;
varying vec2 vUv;
void main() {
	vec4 texColor = texture2D( t2D, vUv );
	#ifdef DECODE_VIDEO_TEXTURE
		texColor = vec4( mix( pow( texColor.rgb * 0.9478672986 + vec3( 0.0521327014 ), vec3( 2.4 ) ), texColor.rgb * 0.0773993808, vec3( lessThanEqual( texColor.rgb, vec3( 0.04045 ) ) ) ), texColor.w );
	#endif
	texColor.rgb *= backgroundIntensity;
	gl_FragColor = texColor;
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,Tx=`varying vec3 vWorldDirection;
#include <common>
void main() {
	vWorldDirection = transformDirection( position, modelMatrix );
	#include <begin_vertex>
	#include <project_vertex>
	gl_Position.z = gl_Position.w;
}`,Ax=`uniform float backgroundBlurriness;
uniform float backgroundIntensity;
uniform mat3 backgroundRotation;
varying vec3 vWorldDirection;
#include <envmap_common_pars_fragment>
void main() {
	#ifdef ENVMAP_TYPE_PMREM
		vec4 texColor = textureLod( envMap, backgroundRotation * vWorldDirection, roughnessToMip( backgroundBlurriness ) );
	#else
		vec4 texColor = textureCube( envMap, backgroundRotation * vWorldDirection );
	#endif
	texColor.rgb *= backgroundIntensity;
	gl_FragColor = texColor;
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,Ex=`varying vec3 vWorldDirection;
#include <common>
void main() {
	vWorldDirection = transformDirection( position, modelMatrix );
	#include <begin_vertex>
	#include <project_vertex>
	gl_Position.z = gl_Position.w;
}`,Rx=`uniform samplerCube tCube;
uniform float tFlip;
uniform float opacity;
varying vec3 vWorldDirection;
void main() {
	vec4 texColor = textureCube( tCube, vec3( tFlip * vWorldDirection.x, vWorldDirection.yz ) );
	gl_FragColor = texColor;
	gl_FragColor.a *= opacity;
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,Cx=`#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
varying vec2 vHighPrecisionZW;
void main() {
	#include <uv_vertex>
	#include <batching_vertex>
	#include <skinbase_vertex>
	#include <morphinstance_vertex>
	#ifdef USE_DISPLACEMENTMAP
		#include <beginnormal_vertex>
		#include <morphnormal_vertex>
		#include <skinnormal_vertex>
	#endif
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vHighPrecisionZW = gl_Position.zw;
}`,Ix=`#if DEPTH_PACKING == 3200
	uniform float opacity;
#endif
#include <common>
#include <packing>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
varying vec2 vHighPrecisionZW;
void main() {
	vec4 diffuseColor = vec4( 1.0 );
	#include <clipping_planes_fragment>
	#if DEPTH_PACKING == 3200
		diffuseColor.a = opacity;
	#endif
	#include <map_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <logdepthbuf_fragment>
	#ifdef USE_REVERSED_DEPTH_BUFFER
		float fragCoordZ = vHighPrecisionZW[ 0 ] / vHighPrecisionZW[ 1 ];
	#else
		float fragCoordZ = 0.5 * vHighPrecisionZW[ 0 ] / vHighPrecisionZW[ 1 ] + 0.5;
	#endif
	#if DEPTH_PACKING == 3200
		gl_FragColor = vec4( vec3( 1.0 - fragCoordZ ), opacity );
	#elif DEPTH_PACKING == 3201
		gl_FragColor = packDepthToRGBA( fragCoordZ );
	#elif DEPTH_PACKING == 3202
		gl_FragColor = vec4( packDepthToRGB( fragCoordZ ), 1.0 );
	#elif DEPTH_PACKING == 3203
		gl_FragColor = vec4( packDepthToRG( fragCoordZ ), 0.0, 1.0 );
	#endif
}`,Px=`#define DISTANCE
varying vec3 vWorldPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <batching_vertex>
	#include <skinbase_vertex>
	#include <morphinstance_vertex>
	#ifdef USE_DISPLACEMENTMAP
		#include <beginnormal_vertex>
		#include <morphnormal_vertex>
		#include <skinnormal_vertex>
	#endif
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <worldpos_vertex>
	#include <clipping_planes_vertex>
	vWorldPosition = worldPosition.xyz;
}`,Lx=`#define DISTANCE
uniform vec3 referencePosition;
uniform float nearDistance;
uniform float farDistance;
varying vec3 vWorldPosition;
#include <common>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( 1.0 );
	#include <clipping_planes_fragment>
	#include <map_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	float dist = length( vWorldPosition - referencePosition );
	dist = ( dist - nearDistance ) / ( farDistance - nearDistance );
	dist = saturate( dist );
	gl_FragColor = vec4( dist, 0.0, 0.0, 1.0 );
}`,Nx=`varying vec3 vWorldDirection;
#include <common>
void main() {
	vWorldDirection = transformDirection( position, modelMatrix );
	#include <begin_vertex>
	#include <project_vertex>
}`,Dx=`uniform sampler2D tEquirect;
varying vec3 vWorldDirection;
#include <common>
void main() {
	vec3 direction = normalize( vWorldDirection );
	vec2 sampleUV = equirectUv( direction );
	gl_FragColor = texture2D( tEquirect, sampleUV );
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
}`,Ux=`uniform float scale;
attribute float lineDistance;
varying float vLineDistance;
#include <common>
#include <uv_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	vLineDistance = scale * lineDistance;
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <fog_vertex>
}`,Ox=`uniform vec3 diffuse;
uniform float opacity;
uniform float dashSize;
uniform float totalSize;
varying float vLineDistance;
#include <common>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <fog_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	if ( mod( vLineDistance, totalSize ) > dashSize ) {
		discard;
	}
	vec3 outgoingLight = vec3( 0.0 );
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	outgoingLight = diffuseColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
}`,Fx=`#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <envmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#if defined ( USE_ENVMAP ) || defined ( USE_SKINNING )
		#include <beginnormal_vertex>
		#include <morphnormal_vertex>
		#include <skinbase_vertex>
		#include <skinnormal_vertex>
		#include <defaultnormal_vertex>
	#endif
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <worldpos_vertex>
	#include <envmap_vertex>
	#include <fog_vertex>
}`,Bx=`uniform vec3 diffuse;
uniform float opacity;
#ifndef FLAT_SHADED
	varying vec3 vNormal;
#endif
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_pars_fragment>
#include <fog_pars_fragment>
#include <specularmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <specularmap_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	#ifdef USE_LIGHTMAP
		vec4 lightMapTexel = texture2D( lightMap, vLightMapUv );
		reflectedLight.indirectDiffuse += lightMapTexel.rgb * lightMapIntensity * RECIPROCAL_PI;
	#else
		reflectedLight.indirectDiffuse += vec3( 1.0 );
	#endif
	#include <aomap_fragment>
	reflectedLight.indirectDiffuse *= diffuseColor.rgb;
	vec3 outgoingLight = reflectedLight.indirectDiffuse;
	#include <envmap_fragment>
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,kx=`#define LAMBERT
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <envmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <envmap_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,zx=`#define LAMBERT
uniform vec3 diffuse;
uniform vec3 emissive;
uniform float opacity;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_pars_fragment>
#include <envmap_physical_pars_fragment>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_lambert_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <specularmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <specularmap_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_lambert_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 outgoingLight = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse + totalEmissiveRadiance;
	#include <envmap_fragment>
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,Gx=`#define MATCAP
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <color_pars_vertex>
#include <displacementmap_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <fog_vertex>
	vViewPosition = - mvPosition.xyz;
}`,Vx=`#define MATCAP
uniform vec3 diffuse;
uniform float opacity;
uniform sampler2D matcap;
varying vec3 vViewPosition;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <fog_pars_fragment>
#include <normal_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	vec3 viewDir = normalize( vViewPosition );
	vec3 x = normalize( vec3( viewDir.z, 0.0, - viewDir.x ) );
	vec3 y = cross( viewDir, x );
	vec2 uv = vec2( dot( x, normal ), dot( y, normal ) ) * 0.495 + 0.5;
	#ifdef USE_MATCAP
		vec4 matcapColor = texture2D( matcap, uv );
	#else
		vec4 matcapColor = vec4( vec3( mix( 0.2, 0.8, uv.y ) ), 1.0 );
	#endif
	vec3 outgoingLight = diffuseColor.rgb * matcapColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,Hx=`#define NORMAL
#if defined( FLAT_SHADED ) || defined( USE_BUMPMAP ) || defined( USE_NORMALMAP_TANGENTSPACE )
	varying vec3 vViewPosition;
#endif
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphinstance_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
#if defined( FLAT_SHADED ) || defined( USE_BUMPMAP ) || defined( USE_NORMALMAP_TANGENTSPACE )
	vViewPosition = - mvPosition.xyz;
#endif
}`,Wx=`#define NORMAL
uniform float opacity;
#if defined( FLAT_SHADED ) || defined( USE_BUMPMAP ) || defined( USE_NORMALMAP_TANGENTSPACE )
	varying vec3 vViewPosition;
#endif
#include <uv_pars_fragment>
#include <normal_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( 0.0, 0.0, 0.0, opacity );
	#include <clipping_planes_fragment>
	#include <logdepthbuf_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	gl_FragColor = vec4( normalize( normal ) * 0.5 + 0.5, diffuseColor.a );
	#ifdef OPAQUE
		gl_FragColor.a = 1.0;
	#endif
}`,Xx=`#define PHONG
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <envmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphinstance_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <envmap_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,qx=`#define PHONG
uniform vec3 diffuse;
uniform vec3 emissive;
uniform vec3 specular;
uniform float shininess;
uniform float opacity;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_pars_fragment>
#include <envmap_physical_pars_fragment>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_phong_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <specularmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <specularmap_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_phong_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 outgoingLight = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse + reflectedLight.directSpecular + reflectedLight.indirectSpecular + totalEmissiveRadiance;
	#include <envmap_fragment>
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,$x=`#define STANDARD
varying vec3 vViewPosition;
#ifdef USE_TRANSMISSION
	varying vec3 vWorldPosition;
#endif
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
#ifdef USE_TRANSMISSION
	vWorldPosition = worldPosition.xyz;
#endif
}`,Yx=`#define STANDARD
#ifdef PHYSICAL
	#define IOR
	#define USE_SPECULAR
#endif
uniform vec3 diffuse;
uniform vec3 emissive;
uniform float roughness;
uniform float metalness;
uniform float opacity;
#ifdef IOR
	uniform float ior;
#endif
#ifdef USE_SPECULAR
	uniform float specularIntensity;
	uniform vec3 specularColor;
	#ifdef USE_SPECULAR_COLORMAP
		uniform sampler2D specularColorMap;
	#endif
	#ifdef USE_SPECULAR_INTENSITYMAP
		uniform sampler2D specularIntensityMap;
	#endif
#endif
#ifdef USE_CLEARCOAT
	uniform float clearcoat;
	uniform float clearcoatRoughness;
#endif
#ifdef USE_DIFFUSE_ROUGHNESS
	uniform float diffuseRoughness;
	#ifdef USE_DIFFUSE_ROUGHNESSMAP
		uniform sampler2D diffuseRoughnessMap;
	#endif
#endif
#ifdef USE_DISPERSION
	uniform float dispersion;
#endif
#ifdef USE_RETROREFLECTION
	uniform float retroreflectivity;
#endif
#ifdef USE_IRIDESCENCE
	uniform float iridescence;
	uniform float iridescenceIOR;
	uniform float iridescenceThicknessMinimum;
	uniform float iridescenceThicknessMaximum;
#endif
#ifdef USE_SHEEN
	uniform vec3 sheenColor;
	uniform float sheenRoughness;
	#ifdef USE_SHEEN_COLORMAP
		uniform sampler2D sheenColorMap;
	#endif
	#ifdef USE_SHEEN_ROUGHNESSMAP
		uniform sampler2D sheenRoughnessMap;
	#endif
#endif
#ifdef USE_ANISOTROPY
	uniform vec2 anisotropyVector;
	#ifdef USE_ANISOTROPYMAP
		uniform sampler2D anisotropyMap;
	#endif
#endif
varying vec3 vViewPosition;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <iridescence_fragment>
#include <envmap_common_pars_fragment>
#include <envmap_physical_pars_fragment>
#include <fog_pars_fragment>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_physical_pars_fragment>
#include <transmission_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <clearcoat_pars_fragment>
#include <iridescence_pars_fragment>
#include <roughnessmap_pars_fragment>
#include <metalnessmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <roughnessmap_fragment>
	#include <metalnessmap_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <clearcoat_normal_fragment_begin>
	#include <clearcoat_normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_physical_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 totalDiffuse = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse;
	vec3 totalSpecular = reflectedLight.directSpecular + reflectedLight.indirectSpecular;
	#include <transmission_fragment>
	vec3 outgoingLight = totalDiffuse + totalSpecular + totalEmissiveRadiance;
	#ifdef USE_SHEEN
 
		outgoingLight = outgoingLight + sheenSpecularDirect + sheenSpecularIndirect;
 
 	#endif
	#ifdef USE_CLEARCOAT
		float dotNVcc = saturate( dot( geometryClearcoatNormal, geometryViewDir ) );
		vec3 Fcc = F_Schlick( material.clearcoatF0, material.clearcoatF90, dotNVcc );
		outgoingLight = outgoingLight * ( 1.0 - material.clearcoat * Fcc ) + ( clearcoatSpecularDirect + clearcoatSpecularIndirect ) * material.clearcoat;
	#endif
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,Zx=`#define TOON
varying vec3 vViewPosition;
#include <common>
#include <batching_pars_vertex>
#include <uv_pars_vertex>
#include <displacementmap_pars_vertex>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <normal_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <shadowmap_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <normal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <displacementmap_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	vViewPosition = - mvPosition.xyz;
	#include <worldpos_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,Jx=`#define TOON
uniform vec3 diffuse;
uniform vec3 emissive;
uniform float opacity;
#include <common>
#include <dithering_pars_fragment>
#include <color_pars_fragment>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <aomap_pars_fragment>
#include <lightmap_pars_fragment>
#include <emissivemap_pars_fragment>
#include <gradientmap_pars_fragment>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <normal_pars_fragment>
#include <lights_toon_pars_fragment>
#include <shadowmap_pars_fragment>
#include <bumpmap_pars_fragment>
#include <normalmap_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	ReflectedLight reflectedLight = ReflectedLight( vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ), vec3( 0.0 ) );
	vec3 totalEmissiveRadiance = emissive;
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <color_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	#include <normal_fragment_begin>
	#include <normal_fragment_maps>
	#include <emissivemap_fragment>
	#include <lights_toon_fragment>
	#include <lights_fragment_begin>
	#include <lights_fragment_maps>
	#include <lights_fragment_end>
	#include <aomap_fragment>
	vec3 outgoingLight = reflectedLight.directDiffuse + reflectedLight.indirectDiffuse + totalEmissiveRadiance;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
	#include <dithering_fragment>
}`,Kx=`uniform float size;
uniform float scale;
#include <common>
#include <color_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
#ifdef USE_POINTS_UV
	varying vec2 vUv;
	uniform mat3 uvTransform;
#endif
void main() {
	#ifdef USE_POINTS_UV
		vUv = ( uvTransform * vec3( uv, 1 ) ).xy;
	#endif
	#include <color_vertex>
	#include <morphinstance_vertex>
	#include <morphcolor_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <project_vertex>
	gl_PointSize = size;
	#ifdef USE_SIZEATTENUATION
		bool isPerspective = isPerspectiveMatrix( projectionMatrix );
		if ( isPerspective ) gl_PointSize *= ( scale / - mvPosition.z );
	#endif
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <worldpos_vertex>
	#include <fog_vertex>
}`,jx=`uniform vec3 diffuse;
uniform float opacity;
#include <common>
#include <color_pars_fragment>
#include <map_particle_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <fog_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	vec3 outgoingLight = vec3( 0.0 );
	#include <logdepthbuf_fragment>
	#include <map_particle_fragment>
	#include <color_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	outgoingLight = diffuseColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
}`,Qx=`#include <common>
#include <batching_pars_vertex>
#include <fog_pars_vertex>
#include <morphtarget_pars_vertex>
#include <skinning_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <shadowmap_pars_vertex>
void main() {
	#include <batching_vertex>
	#include <beginnormal_vertex>
	#include <morphinstance_vertex>
	#include <morphnormal_vertex>
	#include <skinbase_vertex>
	#include <skinnormal_vertex>
	#include <defaultnormal_vertex>
	#include <begin_vertex>
	#include <morphtarget_vertex>
	#include <skinning_vertex>
	#include <project_vertex>
	#include <logdepthbuf_vertex>
	#include <worldpos_vertex>
	#include <shadowmap_vertex>
	#include <fog_vertex>
}`,tv=`uniform vec3 color;
uniform float opacity;
#include <common>
#include <fog_pars_fragment>
#include <bsdfs>
#include <lights_pars_begin>
#include <logdepthbuf_pars_fragment>
#include <shadowmap_pars_fragment>
#include <shadowmask_pars_fragment>
void main() {
	#include <logdepthbuf_fragment>
	gl_FragColor = vec4( color, opacity * ( 1.0 - getShadowMask() ) );
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
	#include <premultiplied_alpha_fragment>
}`,ev=`uniform float rotation;
uniform vec2 center;
#include <common>
#include <uv_pars_vertex>
#include <fog_pars_vertex>
#include <logdepthbuf_pars_vertex>
#include <clipping_planes_pars_vertex>
void main() {
	#include <uv_vertex>
	vec4 mvPosition = modelViewMatrix[ 3 ];
	vec2 scale = vec2( length( modelMatrix[ 0 ].xyz ), length( modelMatrix[ 1 ].xyz ) );
	#ifndef USE_SIZEATTENUATION
		bool isPerspective = isPerspectiveMatrix( projectionMatrix );
		if ( isPerspective ) scale *= - mvPosition.z;
	#endif
	vec2 alignedPosition = ( position.xy - ( center - vec2( 0.5 ) ) ) * scale;
	vec2 rotatedPosition;
	rotatedPosition.x = cos( rotation ) * alignedPosition.x - sin( rotation ) * alignedPosition.y;
	rotatedPosition.y = sin( rotation ) * alignedPosition.x + cos( rotation ) * alignedPosition.y;
	mvPosition.xy += rotatedPosition;
	gl_Position = projectionMatrix * mvPosition;
	#include <logdepthbuf_vertex>
	#include <clipping_planes_vertex>
	#include <fog_vertex>
}`,nv=`uniform vec3 diffuse;
uniform float opacity;
#include <common>
#include <uv_pars_fragment>
#include <map_pars_fragment>
#include <alphamap_pars_fragment>
#include <alphatest_pars_fragment>
#include <alphahash_pars_fragment>
#include <fog_pars_fragment>
#include <logdepthbuf_pars_fragment>
#include <clipping_planes_pars_fragment>
void main() {
	vec4 diffuseColor = vec4( diffuse, opacity );
	#include <clipping_planes_fragment>
	vec3 outgoingLight = vec3( 0.0 );
	#include <logdepthbuf_fragment>
	#include <map_fragment>
	#include <alphamap_fragment>
	#include <alphatest_fragment>
	#include <alphahash_fragment>
	outgoingLight = diffuseColor.rgb;
	#include <opaque_fragment>
	#include <tonemapping_fragment>
	#include <colorspace_fragment>
	#include <fog_fragment>
}`,kt={alphahash_fragment:w0,alphahash_pars_fragment:T0,alphamap_fragment:A0,alphamap_pars_fragment:E0,alphatest_fragment:R0,alphatest_pars_fragment:C0,aomap_fragment:I0,aomap_pars_fragment:P0,batching_pars_vertex:L0,batching_vertex:N0,begin_vertex:D0,beginnormal_vertex:U0,bsdfs:O0,iridescence_fragment:F0,bumpmap_pars_fragment:B0,clipping_planes_fragment:k0,clipping_planes_pars_fragment:z0,clipping_planes_pars_vertex:G0,clipping_planes_vertex:V0,color_fragment:H0,color_pars_fragment:W0,color_pars_vertex:X0,color_vertex:q0,common:$0,defaultnormal_vertex:Y0,displacementmap_pars_vertex:Z0,displacementmap_vertex:J0,emissivemap_fragment:K0,emissivemap_pars_fragment:j0,colorspace_fragment:Q0,colorspace_pars_fragment:t_,envmap_fragment:e_,envmap_common_pars_fragment:n_,envmap_pars_fragment:i_,envmap_pars_vertex:s_,envmap_physical_pars_fragment:m_,envmap_vertex:r_,fog_vertex:o_,fog_pars_vertex:a_,fog_fragment:l_,fog_pars_fragment:c_,gradientmap_pars_fragment:h_,lightmap_pars_fragment:u_,lights_lambert_fragment:d_,lights_lambert_pars_fragment:f_,lights_pars_begin:p_,lights_toon_fragment:g_,lights_toon_pars_fragment:__,lights_phong_fragment:x_,lights_phong_pars_fragment:v_,lights_physical_fragment:y_,lights_physical_pars_fragment:M_,lights_fragment_begin:S_,lights_fragment_maps:b_,lights_fragment_end:w_,lightprobes_pars_fragment:T_,logdepthbuf_fragment:A_,logdepthbuf_pars_fragment:E_,logdepthbuf_pars_vertex:R_,logdepthbuf_vertex:C_,map_fragment:I_,map_pars_fragment:P_,map_particle_fragment:L_,map_particle_pars_fragment:N_,metalnessmap_fragment:D_,metalnessmap_pars_fragment:U_,morphinstance_vertex:O_,morphcolor_vertex:F_,morphnormal_vertex:B_,morphtarget_pars_vertex:k_,morphtarget_vertex:z_,normal_fragment_begin:G_,normal_fragment_maps:V_,normal_pars_fragment:H_,normal_pars_vertex:W_,normal_vertex:X_,normalmap_pars_fragment:q_,clearcoat_normal_fragment_begin:$_,clearcoat_normal_fragment_maps:Y_,clearcoat_pars_fragment:Z_,iridescence_pars_fragment:J_,opaque_fragment:K_,packing:j_,premultiplied_alpha_fragment:Q_,project_vertex:tx,dithering_fragment:ex,dithering_pars_fragment:nx,roughnessmap_fragment:ix,roughnessmap_pars_fragment:sx,shadowmap_pars_fragment:rx,shadowmap_pars_vertex:ox,shadowmap_vertex:ax,shadowmask_pars_fragment:lx,skinbase_vertex:cx,skinning_pars_vertex:hx,skinning_vertex:ux,skinnormal_vertex:dx,specularmap_fragment:fx,specularmap_pars_fragment:px,tonemapping_fragment:mx,tonemapping_pars_fragment:gx,transmission_fragment:_x,transmission_pars_fragment:xx,uv_pars_fragment:vx,uv_pars_vertex:yx,uv_vertex:Mx,worldpos_vertex:Sx,background_vert:bx,background_frag:wx,backgroundCube_vert:Tx,backgroundCube_frag:Ax,cube_vert:Ex,cube_frag:Rx,depth_vert:Cx,depth_frag:Ix,distance_vert:Px,distance_frag:Lx,equirect_vert:Nx,equirect_frag:Dx,linedashed_vert:Ux,linedashed_frag:Ox,meshbasic_vert:Fx,meshbasic_frag:Bx,meshlambert_vert:kx,meshlambert_frag:zx,meshmatcap_vert:Gx,meshmatcap_frag:Vx,meshnormal_vert:Hx,meshnormal_frag:Wx,meshphong_vert:Xx,meshphong_frag:qx,meshphysical_vert:$x,meshphysical_frag:Yx,meshtoon_vert:Zx,meshtoon_frag:Jx,points_vert:Kx,points_frag:jx,shadow_vert:Qx,shadow_frag:tv,sprite_vert:ev,sprite_frag:nv},pt={common:{diffuse:{value:new Yt(16777215)},opacity:{value:1},map:{value:null},mapTransform:{value:new Lt},alphaMap:{value:null},alphaMapTransform:{value:new Lt},alphaTest:{value:0}},specularmap:{specularMap:{value:null},specularMapTransform:{value:new Lt}},envmap:{envMap:{value:null},envMapRotation:{value:new Lt},reflectivity:{value:1},ior:{value:1.5},refractionRatio:{value:.98},dfgLUT:{value:null}},aomap:{aoMap:{value:null},aoMapIntensity:{value:1},aoMapTransform:{value:new Lt}},lightmap:{lightMap:{value:null},lightMapIntensity:{value:1},lightMapTransform:{value:new Lt}},bumpmap:{bumpMap:{value:null},bumpMapTransform:{value:new Lt},bumpScale:{value:1}},normalmap:{normalMap:{value:null},normalMapTransform:{value:new Lt},normalScale:{value:new Xt(1,1)}},displacementmap:{displacementMap:{value:null},displacementMapTransform:{value:new Lt},displacementScale:{value:1},displacementBias:{value:0}},emissivemap:{emissiveMap:{value:null},emissiveMapTransform:{value:new Lt}},metalnessmap:{metalnessMap:{value:null},metalnessMapTransform:{value:new Lt}},roughnessmap:{roughnessMap:{value:null},roughnessMapTransform:{value:new Lt}},gradientmap:{gradientMap:{value:null}},fog:{fogDensity:{value:25e-5},fogNear:{value:1},fogFar:{value:2e3},fogColor:{value:new Yt(16777215)}},lights:{ambientLightColor:{value:[]},lightProbe:{value:[]},sunLights:{value:[],properties:{direction:{},color:{}}},sunLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{}}},sunShadowMatrix:{value:[]},sunShadowCascade:{value:[]},directionalLights:{value:[],properties:{direction:{},color:{}}},directionalLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{}}},directionalShadowMatrix:{value:[]},spotLights:{value:[],properties:{color:{},position:{},direction:{},distance:{},coneCos:{},penumbraCos:{},decay:{}}},spotLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{}}},spotLightMap:{value:[]},spotLightMatrix:{value:[]},pointLights:{value:[],properties:{color:{},position:{},decay:{},distance:{}}},pointLightShadows:{value:[],properties:{shadowIntensity:1,shadowBias:{},shadowNormalBias:{},shadowRadius:{},shadowMapSize:{},shadowCameraNear:{},shadowCameraFar:{}}},pointShadowMatrix:{value:[]},hemisphereLights:{value:[],properties:{direction:{},skyColor:{},groundColor:{}}},rectAreaLights:{value:[],properties:{color:{},position:{},width:{},height:{}}},ltc_1:{value:null},ltc_2:{value:null},probesSH:{value:[]},probesMin:{value:[]},probesMax:{value:[]},probesResolution:{value:[]}},points:{diffuse:{value:new Yt(16777215)},opacity:{value:1},size:{value:1},scale:{value:1},map:{value:null},alphaMap:{value:null},alphaMapTransform:{value:new Lt},alphaTest:{value:0},uvTransform:{value:new Lt}},sprite:{diffuse:{value:new Yt(16777215)},opacity:{value:1},center:{value:new Xt(.5,.5)},rotation:{value:0},map:{value:null},mapTransform:{value:new Lt},alphaMap:{value:null},alphaMapTransform:{value:new Lt},alphaTest:{value:0}}},On={basic:{uniforms:Fe([pt.common,pt.specularmap,pt.envmap,pt.aomap,pt.lightmap,pt.fog]),vertexShader:kt.meshbasic_vert,fragmentShader:kt.meshbasic_frag},lambert:{uniforms:Fe([pt.common,pt.specularmap,pt.envmap,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.fog,pt.lights,{emissive:{value:new Yt(0)},envMapIntensity:{value:1}}]),vertexShader:kt.meshlambert_vert,fragmentShader:kt.meshlambert_frag},phong:{uniforms:Fe([pt.common,pt.specularmap,pt.envmap,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.fog,pt.lights,{emissive:{value:new Yt(0)},specular:{value:new Yt(1118481)},shininess:{value:30},envMapIntensity:{value:1}}]),vertexShader:kt.meshphong_vert,fragmentShader:kt.meshphong_frag},standard:{uniforms:Fe([pt.common,pt.envmap,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.roughnessmap,pt.metalnessmap,pt.fog,pt.lights,{emissive:{value:new Yt(0)},roughness:{value:1},metalness:{value:0},envMapIntensity:{value:1}}]),vertexShader:kt.meshphysical_vert,fragmentShader:kt.meshphysical_frag},toon:{uniforms:Fe([pt.common,pt.aomap,pt.lightmap,pt.emissivemap,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.gradientmap,pt.fog,pt.lights,{emissive:{value:new Yt(0)}}]),vertexShader:kt.meshtoon_vert,fragmentShader:kt.meshtoon_frag},matcap:{uniforms:Fe([pt.common,pt.bumpmap,pt.normalmap,pt.displacementmap,pt.fog,{matcap:{value:null}}]),vertexShader:kt.meshmatcap_vert,fragmentShader:kt.meshmatcap_frag},points:{uniforms:Fe([pt.points,pt.fog]),vertexShader:kt.points_vert,fragmentShader:kt.points_frag},dashed:{uniforms:Fe([pt.common,pt.fog,{scale:{value:1},dashSize:{value:1},totalSize:{value:2}}]),vertexShader:kt.linedashed_vert,fragmentShader:kt.linedashed_frag},depth:{uniforms:Fe([pt.common,pt.displacementmap]),vertexShader:kt.depth_vert,fragmentShader:kt.depth_frag},normal:{uniforms:Fe([pt.common,pt.bumpmap,pt.normalmap,pt.displacementmap,{opacity:{value:1}}]),vertexShader:kt.meshnormal_vert,fragmentShader:kt.meshnormal_frag},sprite:{uniforms:Fe([pt.sprite,pt.fog]),vertexShader:kt.sprite_vert,fragmentShader:kt.sprite_frag},background:{uniforms:{uvTransform:{value:new Lt},t2D:{value:null},backgroundIntensity:{value:1}},vertexShader:kt.background_vert,fragmentShader:kt.background_frag},backgroundCube:{uniforms:{envMap:{value:null},backgroundBlurriness:{value:0},backgroundIntensity:{value:1},backgroundRotation:{value:new Lt}},vertexShader:kt.backgroundCube_vert,fragmentShader:kt.backgroundCube_frag},cube:{uniforms:{tCube:{value:null},tFlip:{value:-1},opacity:{value:1}},vertexShader:kt.cube_vert,fragmentShader:kt.cube_frag},equirect:{uniforms:{tEquirect:{value:null}},vertexShader:kt.equirect_vert,fragmentShader:kt.equirect_frag},distance:{uniforms:Fe([pt.common,pt.displacementmap,{referencePosition:{value:new z},nearDistance:{value:1},farDistance:{value:1e3}}]),vertexShader:kt.distance_vert,fragmentShader:kt.distance_frag},shadow:{uniforms:Fe([pt.lights,pt.fog,{color:{value:new Yt(0)},opacity:{value:1}}]),vertexShader:kt.shadow_vert,fragmentShader:kt.shadow_frag}};On.physical={uniforms:Fe([On.standard.uniforms,{clearcoat:{value:0},clearcoatMap:{value:null},clearcoatMapTransform:{value:new Lt},clearcoatNormalMap:{value:null},clearcoatNormalMapTransform:{value:new Lt},clearcoatNormalScale:{value:new Xt(1,1)},clearcoatRoughness:{value:0},clearcoatRoughnessMap:{value:null},clearcoatRoughnessMapTransform:{value:new Lt},diffuseRoughness:{value:0},diffuseRoughnessMap:{value:null},diffuseRoughnessMapTransform:{value:new Lt},dispersion:{value:0},retroreflectivity:{value:0},iridescence:{value:0},iridescenceMap:{value:null},iridescenceMapTransform:{value:new Lt},iridescenceIOR:{value:1.3},iridescenceThicknessMinimum:{value:100},iridescenceThicknessMaximum:{value:400},iridescenceThicknessMap:{value:null},iridescenceThicknessMapTransform:{value:new Lt},sheen:{value:0},sheenColor:{value:new Yt(0)},sheenColorMap:{value:null},sheenColorMapTransform:{value:new Lt},sheenRoughness:{value:1},sheenRoughnessMap:{value:null},sheenRoughnessMapTransform:{value:new Lt},transmission:{value:0},transmissionMap:{value:null},transmissionMapTransform:{value:new Lt},transmissionSamplerSize:{value:new Xt},transmissionSamplerMap:{value:null},thickness:{value:0},thicknessMap:{value:null},thicknessMapTransform:{value:new Lt},attenuationDistance:{value:0},attenuationColor:{value:new Yt(0)},specularColor:{value:new Yt(1,1,1)},specularColorMap:{value:null},specularColorMapTransform:{value:new Lt},specularIntensity:{value:1},specularIntensityMap:{value:null},specularIntensityMapTransform:{value:new Lt},anisotropyVector:{value:new Xt},anisotropyMap:{value:null},anisotropyMapTransform:{value:new Lt}}]),vertexShader:kt.meshphysical_vert,fragmentShader:kt.meshphysical_frag};var ba={r:0,b:0,g:0},iv=new fe,Nd=new Lt;Nd.set(-1,0,0,0,1,0,0,0,1);function sv(n,t,e,i,s,r){let o=new Yt(0),a=s===!0?0:1,l,c,h=null,d=0,u=null;function f(S){let R=S.isScene===!0?S.background:null;if(R&&R.isTexture){let T=S.backgroundBlurriness>0;R=t.get(R,T)}return R}function g(S){let R=!1,T=f(S);T===null?p(o,a):T&&T.isColor&&(p(T,1),R=!0);let E=n.xr.getEnvironmentBlendMode();E==="additive"?e.buffers.color.setClear(0,0,0,1,r):E==="alpha-blend"&&e.buffers.color.setClear(0,0,0,0,r),(n.autoClear||R)&&(e.buffers.depth.setTest(!0),e.buffers.depth.setMask(!0),e.buffers.color.setMask(!0),n.clear(n.autoClearColor,n.autoClearDepth,n.autoClearStencil))}function M(S,R){let T=f(R);T&&T.isCubeTexture?(c===void 0&&(c=new Oe(new cs(1,1,1),new Nn({name:"BackgroundCubeMaterial",uniforms:Bi(On.backgroundCube.uniforms),vertexShader:On.backgroundCube.vertexShader,fragmentShader:On.backgroundCube.fragmentShader,side:Ge,depthTest:!1,depthWrite:!1,fog:!1,allowOverride:!1})),c.geometry.deleteAttribute("normal"),c.geometry.deleteAttribute("uv"),c.onBeforeRender=function(E,A,_){this.matrixWorld.copyPosition(_.matrixWorld)},Object.defineProperty(c.material,"envMap",{get:function(){return this.uniforms.envMap.value}}),i.update(c)),c.material.uniforms.envMap.value=T,c.material.uniforms.backgroundBlurriness.value=R.backgroundBlurriness,c.material.uniforms.backgroundIntensity.value=R.backgroundIntensity,c.material.uniforms.backgroundRotation.value.setFromMatrix4(iv.makeRotationFromEuler(R.backgroundRotation)).transpose(),T.isRenderTargetTexture===!1&&c.material.uniforms.backgroundRotation.value.premultiply(Nd),c.material.toneMapped=zt.getTransfer(T.colorSpace)!==Jt,(h!==T||d!==T.version||u!==n.toneMapping)&&(c.material.needsUpdate=!0,h=T,d=T.version,u=n.toneMapping),c.layers.enableAll(),S.unshift(c,c.geometry,c.material,0,0,null)):T&&T.isTexture&&(l===void 0&&(l=new Oe(new Qs(2,2),new Nn({name:"BackgroundMaterial",uniforms:Bi(On.background.uniforms),vertexShader:On.background.vertexShader,fragmentShader:On.background.fragmentShader,side:gn,depthTest:!1,depthWrite:!1,fog:!1,allowOverride:!1})),l.geometry.deleteAttribute("normal"),Object.defineProperty(l.material,"map",{get:function(){return this.uniforms.t2D.value}}),i.update(l)),l.material.uniforms.t2D.value=T,l.material.uniforms.backgroundIntensity.value=R.backgroundIntensity,l.material.toneMapped=zt.getTransfer(T.colorSpace)!==Jt,T.matrixAutoUpdate===!0&&T.updateMatrix(),l.material.uniforms.uvTransform.value.copy(T.matrix),(h!==T||d!==T.version||u!==n.toneMapping)&&(l.material.needsUpdate=!0,h=T,d=T.version,u=n.toneMapping),l.layers.enableAll(),S.unshift(l,l.geometry,l.material,0,0,null))}function p(S,R){S.getRGB(ba,cc(n)),e.buffers.color.setClear(ba.r,ba.g,ba.b,R,r)}function m(){c!==void 0&&(c.geometry.dispose(),c.material.dispose(),c=void 0),l!==void 0&&(l.geometry.dispose(),l.material.dispose(),l=void 0)}return{getClearColor:function(){return o},setClearColor:function(S,R=1){o.set(S),a=R,p(o,a)},getClearAlpha:function(){return a},setClearAlpha:function(S){a=S,p(o,a)},render:g,addToRenderList:M,dispose:m}}function rv(n,t){let e=n.getParameter(n.MAX_VERTEX_ATTRIBS),i={},s=u(null),r=s,o=!1;function a(D,G,$,P,X){let K=!1,V=d(D,P,$,G);r!==V&&(r=V,c(r.object)),K=f(D,P,$,X),K&&g(D,P,$,X),X!==null&&t.update(X,n.ELEMENT_ARRAY_BUFFER),(K||o)&&(o=!1,T(D,G,$,P),X!==null&&n.bindBuffer(n.ELEMENT_ARRAY_BUFFER,t.get(X).buffer))}function l(){return n.createVertexArray()}function c(D){return n.bindVertexArray(D)}function h(D){return n.deleteVertexArray(D)}function d(D,G,$,P){let X=P.wireframe===!0,K=i[G.id];K===void 0&&(K={},i[G.id]=K);let V=D.isInstancedMesh===!0?D.id:0,nt=K[V];nt===void 0&&(nt={},K[V]=nt);let W=nt[$.id];W===void 0&&(W={},nt[$.id]=W);let Q=W[X];return Q===void 0&&(Q=u(l()),W[X]=Q),Q}function u(D){let G=[],$=[],P=[];for(let X=0;X<e;X++)G[X]=0,$[X]=0,P[X]=0;return{geometry:null,program:null,wireframe:!1,newAttributes:G,enabledAttributes:$,attributeDivisors:P,object:D,attributes:{},index:null}}function f(D,G,$,P){let X=r.attributes,K=G.attributes,V=0,nt=$.getAttributes();for(let W in nt)if(nt[W].location>=0){let tt=X[W],bt=K[W];if(bt===void 0&&(W==="instanceMatrix"&&D.instanceMatrix&&(bt=D.instanceMatrix),W==="instanceColor"&&D.instanceColor&&(bt=D.instanceColor)),tt===void 0||tt.attribute!==bt||bt&&tt.data!==bt.data)return!0;V++}return r.attributesNum!==V||r.index!==P}function g(D,G,$,P){let X={},K=G.attributes,V=0,nt=$.getAttributes();for(let W in nt)if(nt[W].location>=0){let tt=K[W];tt===void 0&&(W==="instanceMatrix"&&D.instanceMatrix&&(tt=D.instanceMatrix),W==="instanceColor"&&D.instanceColor&&(tt=D.instanceColor));let bt={};bt.attribute=tt,tt&&tt.data&&(bt.data=tt.data),X[W]=bt,V++}r.attributes=X,r.attributesNum=V,r.index=P}function M(){let D=r.newAttributes;for(let G=0,$=D.length;G<$;G++)D[G]=0}function p(D){m(D,0)}function m(D,G){let $=r.newAttributes,P=r.enabledAttributes,X=r.attributeDivisors;$[D]=1,P[D]===0&&(n.enableVertexAttribArray(D),P[D]=1),X[D]!==G&&(n.vertexAttribDivisor(D,G),X[D]=G)}function S(){let D=r.newAttributes,G=r.enabledAttributes;for(let $=0,P=G.length;$<P;$++)G[$]!==D[$]&&(n.disableVertexAttribArray($),G[$]=0)}function R(D,G,$,P,X,K,V){V===!0?n.vertexAttribIPointer(D,G,$,X,K):n.vertexAttribPointer(D,G,$,P,X,K)}function T(D,G,$,P){M();let X=P.attributes,K=$.getAttributes(),V=G.defaultAttributeValues;for(let nt in K){let W=K[nt];if(W.location>=0){let Q=X[nt];if(Q===void 0&&(nt==="instanceMatrix"&&D.instanceMatrix&&(Q=D.instanceMatrix),nt==="instanceColor"&&D.instanceColor&&(Q=D.instanceColor)),Q!==void 0){let tt=Q.normalized,bt=Q.itemSize,Dt=t.get(Q);if(Dt===void 0)continue;let Z=Dt.buffer,mt=Dt.type,yt=Dt.bytesPerElement,Et=mt===n.INT||mt===n.UNSIGNED_INT||Q.gpuType===zo;if(Q.isInterleavedBufferAttribute){let gt=Q.data,Ot=gt.isInterleavedBuffer===!0?gt.stride:gt.itemSize,me=Q.offset;if(gt.isInstancedInterleavedBuffer||gt.isInstancedBufferAttribute){for(let Ct=0;Ct<W.locationSize;Ct++)m(W.location+Ct,gt.meshPerAttribute);D.isInstancedMesh!==!0&&P._maxInstanceCount===void 0&&(P._maxInstanceCount=gt.meshPerAttribute*gt.count)}else for(let Ct=0;Ct<W.locationSize;Ct++)p(W.location+Ct);n.bindBuffer(n.ARRAY_BUFFER,Z);for(let Ct=0;Ct<W.locationSize;Ct++)R(W.location+Ct,bt/W.locationSize,mt,tt,Ot*yt,(me+bt/W.locationSize*Ct)*yt,Et)}else{if(Q.isInstancedBufferAttribute){for(let gt=0;gt<W.locationSize;gt++)m(W.location+gt,Q.meshPerAttribute);D.isInstancedMesh!==!0&&P._maxInstanceCount===void 0&&(P._maxInstanceCount=Q.meshPerAttribute*Q.count)}else for(let gt=0;gt<W.locationSize;gt++)p(W.location+gt);n.bindBuffer(n.ARRAY_BUFFER,Z);for(let gt=0;gt<W.locationSize;gt++)R(W.location+gt,bt/W.locationSize,mt,tt,bt*yt,bt/W.locationSize*gt*yt,Et)}}else if(V!==void 0){let tt=V[nt];if(tt!==void 0)switch(tt.length){case 2:n.vertexAttrib2fv(W.location,tt);break;case 3:n.vertexAttrib3fv(W.location,tt);break;case 4:n.vertexAttrib4fv(W.location,tt);break;default:n.vertexAttrib1fv(W.location,tt)}}}}S()}function E(){B();for(let D in i){let G=i[D];for(let $ in G){let P=G[$];for(let X in P){let K=P[X];for(let V in K)h(K[V].object),delete K[V];delete P[X]}}delete i[D]}}function A(D){if(i[D.id]===void 0)return;let G=i[D.id];for(let $ in G){let P=G[$];for(let X in P){let K=P[X];for(let V in K)h(K[V].object),delete K[V];delete P[X]}}delete i[D.id]}function _(D){for(let G in i){let $=i[G];for(let P in $){let X=$[P];if(X[D.id]===void 0)continue;let K=X[D.id];for(let V in K)h(K[V].object),delete K[V];delete X[D.id]}}}function w(D){for(let G in i){let $=i[G],P=D.isInstancedMesh===!0?D.id:0,X=$[P];if(X!==void 0){for(let K in X){let V=X[K];for(let nt in V)h(V[nt].object),delete V[nt];delete X[K]}delete $[P],Object.keys($).length===0&&delete i[G]}}}function B(){L(),o=!0,r!==s&&(r=s,c(r.object))}function L(){s.geometry=null,s.program=null,s.wireframe=!1}return{setup:a,reset:B,resetDefaultState:L,dispose:E,releaseStatesOfGeometry:A,releaseStatesOfObject:w,releaseStatesOfProgram:_,initAttributes:M,enableAttribute:p,disableUnusedAttributes:S}}function ov(n,t,e){let i;function s(l){i=l}function r(l,c){n.drawArrays(i,l,c),e.update(c,i,1)}function o(l,c,h){h!==0&&(n.drawArraysInstanced(i,l,c,h),e.update(c,i,h))}function a(l,c,h){if(h===0)return;t.get("WEBGL_multi_draw").multiDrawArraysWEBGL(i,l,0,c,0,h);let u=0;for(let f=0;f<h;f++)u+=c[f];e.update(u,i,1)}this.setMode=s,this.render=r,this.renderInstances=o,this.renderMultiDraw=a}function av(n,t,e,i){let s;function r(){if(s!==void 0)return s;if(t.has("EXT_texture_filter_anisotropic")===!0){let _=t.get("EXT_texture_filter_anisotropic");s=n.getParameter(_.MAX_TEXTURE_MAX_ANISOTROPY_EXT)}else s=0;return s}function o(_){return!(_!==sn&&i.convert(_)!==n.getParameter(n.IMPLEMENTATION_COLOR_READ_FORMAT))}function a(_){let w=_===wn&&(t.has("EXT_color_buffer_half_float")||t.has("EXT_color_buffer_float"));return!(_!==en&&_!==nn&&!w&&i.convert(_)!==n.getParameter(n.IMPLEMENTATION_COLOR_READ_TYPE))}function l(_){if(_==="highp"){if(n.getShaderPrecisionFormat(n.VERTEX_SHADER,n.HIGH_FLOAT).precision>0&&n.getShaderPrecisionFormat(n.FRAGMENT_SHADER,n.HIGH_FLOAT).precision>0)return"highp";_="mediump"}return _==="mediump"&&n.getShaderPrecisionFormat(n.VERTEX_SHADER,n.MEDIUM_FLOAT).precision>0&&n.getShaderPrecisionFormat(n.FRAGMENT_SHADER,n.MEDIUM_FLOAT).precision>0?"mediump":"lowp"}let c=e.precision!==void 0?e.precision:"highp",h=l(c);h!==c&&(It("WebGLRenderer:",c,"not supported, using",h,"instead."),c=h);let d=e.reversedDepthBuffer===!0&&t.has("EXT_clip_control"),u=e.logarithmicDepthBuffer===!0&&d===!1;e.reversedDepthBuffer===!0&&d===!1&&It("WebGLRenderer: Unable to use reversed depth buffer due to missing EXT_clip_control extension. Fallback to default depth buffer."),e.logarithmicDepthBuffer===!0&&d===!0&&It("WebGLRenderer: Logarithmic depth buffer is ignored when reversed depth buffer is enabled.");let f=n.getParameter(n.MAX_TEXTURE_IMAGE_UNITS),g=n.getParameter(n.MAX_VERTEX_TEXTURE_IMAGE_UNITS),M=n.getParameter(n.MAX_TEXTURE_SIZE),p=n.getParameter(n.MAX_CUBE_MAP_TEXTURE_SIZE),m=n.getParameter(n.MAX_VERTEX_ATTRIBS),S=n.getParameter(n.MAX_VERTEX_UNIFORM_VECTORS),R=n.getParameter(n.MAX_VARYING_VECTORS),T=n.getParameter(n.MAX_FRAGMENT_UNIFORM_VECTORS),E=n.getParameter(n.MAX_SAMPLES),A=n.getParameter(n.SAMPLES);return{isWebGL2:!0,getMaxAnisotropy:r,getMaxPrecision:l,textureFormatReadable:o,textureTypeReadable:a,precision:c,logarithmicDepthBuffer:u,reversedDepthBuffer:d,maxTextures:f,maxVertexTextures:g,maxTextureSize:M,maxCubemapSize:p,maxAttributes:m,maxVertexUniforms:S,maxVaryings:R,maxFragmentUniforms:T,maxSamples:E,samples:A}}function lv(n){let t=this,e=null,i=0,s=!1,r=!1,o=new Mn,a=new Lt,l={value:null,needsUpdate:!1};this.uniform=l,this.numPlanes=0,this.numIntersection=0,this.init=function(d,u){let f=d.length!==0||u||i!==0||s;return s=u,i=d.length,f},this.beginShadows=function(){r=!0,h(null)},this.endShadows=function(){r=!1},this.setGlobalState=function(d,u){e=h(d,u,0)},this.setState=function(d,u,f){let g=d.clippingPlanes,M=d.clipIntersection,p=d.clipShadows,m=n.get(d);if(!s||g===null||g.length===0||r&&!p)r?h(null):c();else{let S=r?0:i,R=S*4,T=m.clippingState||null;l.value=T,T=h(g,u,R,f);for(let E=0;E!==R;++E)T[E]=e[E];m.clippingState=T,this.numIntersection=M?this.numPlanes:0,this.numPlanes+=S}};function c(){l.value!==e&&(l.value=e,l.needsUpdate=i>0),t.numPlanes=i,t.numIntersection=0}function h(d,u,f,g){let M=d!==null?d.length:0,p=null;if(M!==0){if(p=l.value,g!==!0||p===null){let m=f+M*4,S=u.matrixWorldInverse;a.getNormalMatrix(S),(p===null||p.length<m)&&(p=new Float32Array(m));for(let R=0,T=f;R!==M;++R,T+=4)o.copy(d[R]).applyMatrix4(S,a),o.normal.toArray(p,T),p[T+3]=o.constant}l.value=p,l.needsUpdate=!0}return t.numPlanes=M,t.numIntersection=0,p}}var ur=class extends je{constructor(t=1,e={}){super(t,t,e),this.isWebGLCubeRenderTarget=!0;let i={width:t,height:t,depth:1},s=[i,i,i,i,i,i];this.texture=new Js(s),this._setTextureOptions(e),this.texture.isRenderTargetTexture=!0}fromEquirectangularTexture(t,e){this.texture.type=e.type,this.texture.colorSpace=e.colorSpace,this.texture.generateMipmaps=e.generateMipmaps,this.texture.minFilter=e.minFilter,this.texture.magFilter=e.magFilter;let i={uniforms:{tEquirect:{value:null}},vertexShader:`

				varying vec3 vWorldDirection;

				vec3 transformDirection( in vec3 dir, in mat4 matrix ) {

					return normalize( ( matrix * vec4( dir, 0.0 ) ).xyz );

				}

				void main() {

					vWorldDirection = transformDirection( position, modelMatrix );

					#include <begin_vertex>
					#include <project_vertex>

				}
			`,fragmentShader:`

				uniform sampler2D tEquirect;

				varying vec3 vWorldDirection;

				#include <common>

				void main() {

					vec3 direction = normalize( vWorldDirection );

					vec2 sampleUV = equirectUv( direction );

					gl_FragColor = texture2D( tEquirect, sampleUV );

				}
			`},s=new cs(5,5,5),r=new Nn({name:"CubemapFromEquirect",uniforms:Bi(i.uniforms),vertexShader:i.vertexShader,fragmentShader:i.fragmentShader,side:Ge,blending:Li});r.uniforms.tEquirect.value=e;let o=new Oe(s,r),a=e.minFilter;return e.minFilter===Jn&&(e.minFilter=ze),new hs(1,10,this).update(t,o),e.minFilter=a,o.geometry.dispose(),o.material.dispose(),this}clear(t,e=!0,i=!0,s=!0){let r=t.getRenderTarget();for(let o=0;o<6;o++)t.setRenderTarget(this,o),t.clear(e,i,s);t.setRenderTarget(r)}},ud=256,cv=3,hv=20,Dd=256,Ud=16,uv=3,dv=new z,fv=new Yt,Ta=class n{constructor(t){this._renderer=t,this._cubeSize=0,this._sourceTarget=null,this._cubeCamera=new hs(1,10,null),this._boxMesh=new Oe(new cs(5,5,5),null),this._cubemapMaterial=null,this._equirectMaterial=null,this._blurMaterial=null,this._ggxMaterial=null,this._integrationMaterial=null}fromScene(t,e=0,i=.1,s=100,r={}){let{size:o=256,position:a=dv}=r,l=this._renderer;this._setSize(o);let c=this._allocateTarget(),h=this._getSourceTarget(!0);e>0&&(h.texture.mipmapsAutoUpdate=!1);let d=l.autoClear,u=l.autoClearColor,f=l.autoClearDepth,g=l.autoClearStencil,M=t.background;l.autoClear=!0,l.autoClearColor=!0,l.autoClearDepth=!0,l.autoClearStencil=!0,M===null&&(t.background=l.getClearColor(fv));let p=new hs(i,s,h);return p.position.copy(a),p.update(l,t),l.autoClear=d,l.autoClearColor=u,l.autoClearDepth=f,l.autoClearStencil=g,t.background=M,e>0&&(h.texture.mipmapsAutoUpdate=!0,this._blur(c,e)),this._applyPMREM(c),c}fromEquirectangular(t,e=null){return this._fromTexture(t,e)}fromCubemap(t,e=null){return this._fromTexture(t,e)}compileCubemapShader(){this._cubemapMaterial===null&&(this._cubemapMaterial=pd(),this._compileMaterial(this._cubemapMaterial))}compileEquirectangularShader(){this._equirectMaterial===null&&(this._equirectMaterial=fd(),this._compileMaterial(this._equirectMaterial))}dispose(){this._sourceTarget!==null&&this._sourceTarget.dispose(),this._cubemapMaterial!==null&&this._cubemapMaterial.dispose(),this._equirectMaterial!==null&&this._equirectMaterial.dispose(),this._blurMaterial!==null&&this._blurMaterial.dispose(),this._ggxMaterial!==null&&this._ggxMaterial.dispose(),this._integrationMaterial!==null&&this._integrationMaterial.dispose(),this._boxMesh.geometry.dispose()}static lodToRoughness(t,e){return e>0?1-Math.sqrt(1-t/e):0}_setSize(t){this._cubeSize=Math.max(ud,sd(t))}_fromTexture(t,e){t.mapping===Di||t.mapping===fs?this._setSize(t.image.length===0?ud:t.image[0].width||t.image[0].image.width):this._setSize(t.image.width/4);let i=e||this._allocateTarget();return this._textureToCubemap(t),this._applyPMREM(i),i}_allocateTarget(){let t=this._cubeSize,e=dd(t,!1,!1),i=Math.log2(t)-cv;for(let s=0;s<=i;s++)e.texture.mipmaps.push({width:t>>s,height:t>>s});return e.texture.name="PMREM",e.texture.isPMREMTexture=!0,e}_getSourceTarget(t=!1){let e=this._cubeSize,i=this._sourceTarget;return(i===null||i.width!==e||t&&i.depthBuffer===!1)&&(i!==null&&i.dispose(),this._sourceTarget=dd(e,!0,t)),this._sourceTarget}_compileMaterial(t){this._boxMesh.material=t,this._renderer.compile(this._boxMesh,this._cubeCamera.children[0])}_renderCube(t,e,i){let s=this._boxMesh,r=this._cubeCamera;s.material=i,r.renderTarget=t,r.activeMipmapLevel=e;let o=t.width>>e;t.viewport.set(0,0,o,o),r.update(this._renderer,s),t.viewport.set(0,0,t.width,t.height)}_textureToCubemap(t){let e;t.mapping===Di||t.mapping===fs?(this._cubemapMaterial===null&&(this._cubemapMaterial=pd()),e=this._cubemapMaterial,e.uniforms.flipEnvMap.value=t.isRenderTargetTexture===!1?-1:1):(this._equirectMaterial===null&&(this._equirectMaterial=fd()),e=this._equirectMaterial),e.uniforms.envMap.value=t,this._renderCube(this._getSourceTarget(),0,e)}_applyPMREM(t){this._ggxMaterial===null&&(this._ggxMaterial=pv(),this._integrationMaterial=mv());let e=this._cubeSize,i=t.texture.mipmaps.length-1,s=this._ggxMaterial.uniforms;s.envMap.value=this._sourceTarget.texture;let r=this._integrationMaterial.uniforms;r.envMap.value=this._sourceTarget.texture,r.sourceLod.value=Math.log2(e/Ud);for(let o=0;o<=i;o++){let a=n.lodToRoughness(o,i);if(o>i-uv)r.roughness.value=a,this._renderCube(t,o,this._integrationMaterial);else{let l=a>0?Math.log2(e)+.5*Math.log2(6/(Dd*Math.pow(a,4)))+.5:0;s.roughness.value=a,s.lodBias.value=l,this._renderCube(t,o,this._ggxMaterial)}}}_blur(t,e){this._blurMaterial===null&&(this._blurMaterial=gv());let i=this._blurMaterial,s=i.uniforms,r=this._sourceTarget;s.sigma.value=Math.min(e,Math.PI)/Math.SQRT2,s.envMap.value=r.texture,this._renderCube(t,0,i),s.envMap.value=t.texture,this._renderCube(r,0,i)}};function dd(n,t,e){return new ur(n,{minFilter:Jn,generateMipmaps:t,type:wn,colorSpace:Ri,depthBuffer:e})}function dr(n,t,e){return new Nn({name:n,uniforms:t,vertexShader:kt.cube_vert,fragmentShader:e,side:Ge,blending:Li,depthTest:!1,depthWrite:!1})}function pv(){return dr("PMREMGGXConvolution",{envMap:{value:null},roughness:{value:0},lodBias:{value:0}},`

		#define GGX_SAMPLES ${Dd}u

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float roughness;
		uniform float lodBias;

		#include <common>

		// Van der Corput radical inverse
		float radicalInverse_VdC( uint bits ) {

			bits = ( bits << 16u ) | ( bits >> 16u );
			bits = ( ( bits & 0x55555555u ) << 1u ) | ( ( bits & 0xAAAAAAAAu ) >> 1u );
			bits = ( ( bits & 0x33333333u ) << 2u ) | ( ( bits & 0xCCCCCCCCu ) >> 2u );
			bits = ( ( bits & 0x0F0F0F0Fu ) << 4u ) | ( ( bits & 0xF0F0F0F0u ) >> 4u );
			bits = ( ( bits & 0x00FF00FFu ) << 8u ) | ( ( bits & 0xFF00FF00u ) >> 8u );
			return float( bits ) * 2.3283064365386963e-10; // / 0x100000000

		}

		// Hammersley sequence
		vec2 hammersley( uint i, uint N ) {

			return vec2( float( i ) / float( N ), radicalInverse_VdC( i ) );

		}

		void main() {

			vec3 N = normalize( vWorldDirection );

			// For very low roughness, just sample the environment directly
			if ( roughness < 0.001 ) {

				gl_FragColor = vec4( textureLod( envMap, N, 0.0 ).rgb, 1.0 );
				return;

			}

			float alpha = roughness * roughness;
			float alpha2 = alpha * alpha;

			// Tangent space basis for VNDF sampling
			vec3 up = abs( N.z ) < 0.999 ? vec3( 0.0, 0.0, 1.0 ) : vec3( 1.0, 0.0, 0.0 );
			vec3 tangent = normalize( cross( up, N ) );
			vec3 bitangent = cross( N, tangent );

			vec3 prefilteredColor = vec3( 0.0 );
			float totalWeight = 0.0;

			for ( uint i = 0u; i < GGX_SAMPLES; i ++ ) {

				vec2 Xi = hammersley( i, GGX_SAMPLES );

				// With V = N, sample the reflected direction directly.
				float invQ = 1.0 / ( 1.0 - Xi.x + alpha2 * Xi.x );
				float NdotL = ( 1.0 - Xi.x - alpha2 * Xi.x ) * invQ;

				if ( NdotL > 0.0 ) {

					float phi = 2.0 * PI * Xi.y;
					float sinTheta = 2.0 * alpha * sqrt( Xi.x * ( 1.0 - Xi.x ) ) * invQ;
					vec3 L = N * NdotL + ( tangent * cos( phi ) + bitangent * sin( phi ) ) * sinTheta;

					// Match the source mip to the sample's solid angle. The terms
					// independent of the sample are precomputed in lodBias.
					float d = alpha2 * invQ;
					float lod = max( log2( d ) + lodBias, 0.0 );

					// Weight by NdotL for the split-sum approximation
					prefilteredColor += textureLod( envMap, L, lod ).rgb * NdotL;
					totalWeight += NdotL;

				}

			}

			gl_FragColor = vec4( prefilteredColor / totalWeight, 1.0 );

		}
	`)}function mv(){return dr("PMREMGGXIntegration",{envMap:{value:null},roughness:{value:0},sourceLod:{value:0},sourceSize:{value:Ud}},`

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float roughness;
		uniform float sourceLod;
		uniform int sourceSize;

		void main() {

			vec3 N = normalize( vWorldDirection );

			float alpha = roughness * roughness;
			float alpha2 = alpha * alpha;

			float texelSize = 2.0 / float( sourceSize );

			vec3 prefilteredColor = vec3( 0.0 );
			float totalWeight = 0.0;

			// Pair opposite texels: only the one in N's hemisphere contributes.
			for ( int face = 0; face < 3; face ++ ) {

				for ( int y = 0; y < sourceSize; y ++ ) {

					for ( int x = 0; x < sourceSize; x ++ ) {

						vec2 uv = ( vec2( x, y ) + 0.5 ) * texelSize - 1.0;
						vec3 texelDirection = face == 0 ? vec3( 1.0, uv ) : ( face == 1 ? vec3( uv.x, 1.0, uv.y ) : vec3( uv, 1.0 ) );

						float invDistance = inversesqrt( 1.0 + dot( uv, uv ) );
						float NdotL = dot( N, texelDirection );
						texelDirection *= NdotL < 0.0 ? - 1.0 : 1.0;
						NdotL = abs( NdotL ) * invDistance;

						// With V = N, NdotH squared is ( 1 + NdotL ) / 2. Common factors
						// in the GGX distribution and texel solid angle cancel when normalized.
						float d = 1.0 + alpha2 + ( alpha2 - 1.0 ) * NdotL;
						float weight = NdotL * invDistance * invDistance * invDistance / ( d * d );

						prefilteredColor += textureLod( envMap, texelDirection, sourceLod ).rgb * weight;
						totalWeight += weight;

					}

				}

			}

			gl_FragColor = vec4( prefilteredColor / totalWeight, 1.0 );

		}
	`)}function gv(){return dr("PMREMSphericalGaussianBlur",{envMap:{value:null},sigma:{value:0}},`

		#define SAMPLES ${hv}
		#define GOLDEN_ANGLE 2.39996322973

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float sigma;

		#include <common>

		void main() {

			vec3 outputDirection = normalize( vWorldDirection );

			vec3 up = abs( outputDirection.z ) < 0.999 ? vec3( 0.0, 0.0, 1.0 ) : vec3( 1.0, 0.0, 0.0 );
			vec3 tangent = normalize( cross( up, outputDirection ) );
			vec3 bitangent = cross( outputDirection, tangent );

			// Truncate the kernel at three standard deviations or at the antipode.
			float thetaMax = min( 3.0 * sigma, PI );
			float truncation = 1.0 - exp( - 0.5 * thetaMax * thetaMax / ( sigma * sigma ) );

			vec3 accumColor = vec3( 0.0 );
			float accumWeight = 0.0;

			for ( int i = 0; i < SAMPLES; i ++ ) {

				// Stratified inverse-CDF sampling of the Gaussian, placed on a golden-angle spiral.
				float stratum = ( float( i ) + 0.5 ) / float( SAMPLES );
				float theta = sigma * sqrt( - 2.0 * log( 1.0 - stratum * truncation ) );
				float phi = float( i ) * GOLDEN_ANGLE;

				vec3 offset = cos( phi ) * tangent + sin( phi ) * bitangent;
				vec3 sampleDirection = cos( theta ) * outputDirection + sin( theta ) * offset;

				// Correct the planar sample density to solid angle.
				float weight = sin( theta ) / theta;

				accumColor += weight * textureLod( envMap, sampleDirection, 0.0 ).rgb;
				accumWeight += weight;

			}

			gl_FragColor = vec4( accumColor / accumWeight, 1.0 );

		}
	`)}function fd(){return dr("PMREMEquirectangularToCubemap",{envMap:{value:null}},`

		varying vec3 vWorldDirection;

		uniform sampler2D envMap;

		#include <common>

		void main() {

			// Average four subpixel samples to preserve small, bright features.
			vec3 direction = normalize( vWorldDirection );
			vec3 dx = dFdx( direction ) * 0.25;
			vec3 dy = dFdy( direction ) * 0.25;

			vec3 color = textureLod( envMap, equirectUv( normalize( direction - dx - dy ) ), 0.0 ).rgb;
			color += textureLod( envMap, equirectUv( normalize( direction + dx - dy ) ), 0.0 ).rgb;
			color += textureLod( envMap, equirectUv( normalize( direction - dx + dy ) ), 0.0 ).rgb;
			color += textureLod( envMap, equirectUv( normalize( direction + dx + dy ) ), 0.0 ).rgb;
			gl_FragColor = vec4( color * 0.25, 1.0 );

		}
	`)}function pd(){return dr("PMREMCubemapToCubemap",{envMap:{value:null},flipEnvMap:{value:-1}},`

		varying vec3 vWorldDirection;

		uniform samplerCube envMap;
		uniform float flipEnvMap;

		void main() {

			gl_FragColor = vec4( textureCube( envMap, vec3( flipEnvMap * vWorldDirection.x, vWorldDirection.yz ) ).rgb, 1.0 );

		}
	`)}function _v(n){let t=new WeakMap,e=new WeakMap,i=null;function s(u,f=!1){return u==null?null:f?o(u):r(u)}function r(u){if(u&&u.isTexture){let f=u.mapping;if(f===Fo||f===Bo)if(t.has(u)){let g=t.get(u).texture;return a(g,u.mapping)}else{let g=u.image;if(g&&g.height>0){let M=new ur(g.height);return M.fromEquirectangularTexture(n,u),t.set(u,M),u.addEventListener("dispose",c),a(M.texture,u.mapping)}else return null}}return u}function o(u){if(u&&u.isTexture&&u.isPMREMTexture!==!0){let f=u.mapping,g=f===Fo||f===Bo,M=f===Di||f===fs;if(g||M){let p=e.get(u),m=p!==void 0?p.texture.pmremVersion:0;if(u.isRenderTargetTexture&&u.pmremVersion!==m)return i===null&&(i=new Ta(n)),p=g?i.fromEquirectangular(u,p):i.fromCubemap(u,p),p.texture.pmremVersion=u.pmremVersion,e.set(u,p),p.texture;if(p!==void 0)return p.texture;{let S=u.image;return g&&S&&S.height>0||M&&S&&l(S)?(i===null&&(i=new Ta(n)),p=g?i.fromEquirectangular(u):i.fromCubemap(u),p.texture.pmremVersion=u.pmremVersion,e.set(u,p),u.addEventListener("dispose",h),p.texture):null}}}return u}function a(u,f){return f===Fo?u.mapping=Di:f===Bo&&(u.mapping=fs),u}function l(u){let f=0,g=6;for(let M=0;M<g;M++)u[M]!==void 0&&f++;return f===g}function c(u){let f=u.target;f.removeEventListener("dispose",c);let g=t.get(f);g!==void 0&&(t.delete(f),g.dispose())}function h(u){let f=u.target;f.removeEventListener("dispose",h);let g=e.get(f);g!==void 0&&(e.delete(f),g.dispose())}function d(){t=new WeakMap,e=new WeakMap,i!==null&&(i.dispose(),i=null)}return{get:s,dispose:d}}function xv(n){let t={};function e(i){if(t[i]!==void 0)return t[i];let s=n.getExtension(i);return t[i]=s,s}return{has:function(i){return e(i)!==null},init:function(){e("EXT_color_buffer_float"),e("WEBGL_clip_cull_distance"),e("OES_texture_float_linear"),e("EXT_color_buffer_half_float"),e("WEBGL_multisampled_render_to_texture"),e("WEBGL_render_shared_exponent")},get:function(i){let s=e(i);return s===null&&Bs("WebGLRenderer: "+i+" extension not supported."),s}}}function vv(n,t,e,i){let s={},r=new WeakMap,o=new FinalizationRegistry(g=>delete s[g]);function a(g){l(g.target)}function l(g){g.index!==null&&t.remove(g.index);for(let p in g.attributes)t.remove(g.attributes[p]);g.removeEventListener("dispose",a),delete s[g.id],o.unregister(g);let M=r.get(g);M&&(t.remove(M),r.delete(g)),i.releaseStatesOfGeometry(g),g.isInstancedBufferGeometry===!0&&delete g._maxInstanceCount,e.memory.geometries--}function c(g,M){return s[M.id]!==void 0||(M.addEventListener("dispose",a),s[M.id]=new WeakRef(M),o.register(M,M.id,M),e.memory.geometries++),M}function h(g){let M=g.attributes;for(let p in M)t.update(M[p],n.ARRAY_BUFFER)}function d(g){let M=g.index,p=g.attributes.position,m=0;if(p===void 0)return;let S=M!==null?M.array.length:p.array.length/3-1,R=p.count>=65535?Ys:$s,T=new R(Math.ceil(S/3)*6,1),E=T.array;if(M!==null){let _=M.array;m=M.version;for(let w=0,B=0;w<S;w+=3){let L=_[w+0],D=_[w+1],G=_[w+2];E[B++]=L,E[B++]=D,E[B++]=D,E[B++]=G,E[B++]=G,E[B++]=L}}else{m=p.version;for(let _=0,w=0;_<S;_+=3){let B=_+0,L=_+1,D=_+2;E[w++]=B,E[w++]=L,E[w++]=L,E[w++]=D,E[w++]=D,E[w++]=B}}T.version=m;let A=r.get(g);A&&t.remove(A),r.set(g,T)}function u(g){let M=r.get(g);if(M){let p=g.index;p!==null&&M.version<p.version&&d(g)}else d(g);return r.get(g)}function f(){for(let g in s){let M=s[g].deref();M!==void 0&&l(M)}}return{get:c,update:h,getWireframeAttribute:u,dispose:f}}function yv(n,t,e){let i;function s(d){i=d}let r,o;function a(d){r=d.type,o=d.bytesPerElement}function l(d,u){n.drawElements(i,u,r,d*o),e.update(u,i,1)}function c(d,u,f){f!==0&&(n.drawElementsInstanced(i,u,r,d*o,f),e.update(u,i,f))}function h(d,u,f){if(f===0)return;t.get("WEBGL_multi_draw").multiDrawElementsWEBGL(i,u,0,r,d,0,f);let M=0;for(let p=0;p<f;p++)M+=u[p];e.update(M,i,1)}this.setMode=s,this.setIndex=a,this.render=l,this.renderInstances=c,this.renderMultiDraw=h}function Mv(n){let t={geometries:0,textures:0},e={frame:0,calls:0,triangles:0,points:0,lines:0};function i(r,o,a){switch(e.calls++,o){case n.TRIANGLES:e.triangles+=a*(r/3);break;case n.LINES:e.lines+=a*(r/2);break;case n.LINE_STRIP:e.lines+=a*(r-1);break;case n.LINE_LOOP:e.lines+=a*r;break;case n.POINTS:e.points+=a*r;break;default:Pt("WebGLInfo: Unknown draw mode:",o);break}}function s(){e.calls=0,e.triangles=0,e.points=0,e.lines=0}return{memory:t,render:e,programs:null,autoReset:!0,reset:s,update:i}}function Sv(n,t,e){let i=new WeakMap,s=new se;function r(o,a,l){let c=o.morphTargetInfluences,h=a.morphAttributes.position||a.morphAttributes.normal||a.morphAttributes.color,d=h!==void 0?h.length:0,u=i.get(a);if(u===void 0||u.count!==d){let B=function(){_.dispose(),i.delete(a),a.removeEventListener("dispose",B)};u!==void 0&&u.texture.dispose();let f=a.morphAttributes.position!==void 0,g=a.morphAttributes.normal!==void 0,M=a.morphAttributes.color!==void 0,p=a.morphAttributes.position||[],m=a.morphAttributes.normal||[],S=a.morphAttributes.color||[],R=0;f===!0&&(R=1),g===!0&&(R=2),M===!0&&(R=3);let T=a.attributes.position.count*R,E=1;T>t.maxTextureSize&&(E=Math.ceil(T/t.maxTextureSize),T=t.maxTextureSize);let A=new Float32Array(T*E*4*d),_=new Ws(A,T,E,d);_.type=nn,_.needsUpdate=!0;let w=R*4;for(let L=0;L<d;L++){let D=p[L],G=m[L],$=S[L],P=T*E*4*L;for(let X=0;X<D.count;X++){let K=X*w;f===!0&&(s.fromBufferAttribute(D,X),A[P+K+0]=s.x,A[P+K+1]=s.y,A[P+K+2]=s.z,A[P+K+3]=0),g===!0&&(s.fromBufferAttribute(G,X),A[P+K+4]=s.x,A[P+K+5]=s.y,A[P+K+6]=s.z,A[P+K+7]=0),M===!0&&(s.fromBufferAttribute($,X),A[P+K+8]=s.x,A[P+K+9]=s.y,A[P+K+10]=s.z,A[P+K+11]=$.itemSize===4?s.w:1)}}u={count:d,texture:_,size:new Xt(T,E)},i.set(a,u),a.addEventListener("dispose",B)}if(o.isInstancedMesh===!0&&o.morphTexture!==null)l.getUniforms().setValue(n,"morphTexture",o.morphTexture,e);else{let f=0;for(let M=0;M<c.length;M++)f+=c[M];let g=a.morphTargetsRelative?1:1-f;l.getUniforms().setValue(n,"morphTargetBaseInfluence",g),l.getUniforms().setValue(n,"morphTargetInfluences",c)}l.getUniforms().setValue(n,"morphTargetsTexture",u.texture,e),l.getUniforms().setValue(n,"morphTargetsTextureSize",u.size)}return{update:r}}function bv(n,t,e,i,s){let r=new WeakMap;function o(c){let h=s.render.frame,d=c.geometry,u=t.get(c,d);if(r.get(u)!==h&&(t.update(u),r.set(u,h)),c.isInstancedMesh&&(c.hasEventListener("dispose",l)===!1&&c.addEventListener("dispose",l),r.get(c)!==h&&(e.update(c.instanceMatrix,n.ARRAY_BUFFER),c.instanceColor!==null&&e.update(c.instanceColor,n.ARRAY_BUFFER),r.set(c,h))),c.isSkinnedMesh){let f=c.skeleton;r.get(f)!==h&&(f.update(),r.set(f,h))}return u}function a(){r=new WeakMap}function l(c){let h=c.target;h.removeEventListener("dispose",l),i.releaseStatesOfObject(h),e.remove(h.instanceMatrix),h.instanceColor!==null&&e.remove(h.instanceColor)}return{update:o,dispose:a}}var wv={[Hl]:"LINEAR_TONE_MAPPING",[Wl]:"REINHARD_TONE_MAPPING",[Xl]:"CINEON_TONE_MAPPING",[ql]:"ACES_FILMIC_TONE_MAPPING",[Yl]:"AGX_TONE_MAPPING",[Zl]:"NEUTRAL_TONE_MAPPING",[$l]:"CUSTOM_TONE_MAPPING"};function Tv(n,t,e,i,s,r){let o=new je(t,e,{type:n,depthBuffer:s,stencilBuffer:r,samples:i?4:0,storeMultisampledDepthBuffer:!1,storeMultisampledStencilBuffer:!1,resolveDepthBuffer:!1,resolveStencilBuffer:!1}),a=null,l=null,c=null,h=new Xe;h.setAttribute("position",new fn([-1,3,0,-1,-1,0,3,-1,0],3)),h.setAttribute("uv",new fn([0,2,0,0,2,0],2));let d=new di({uniforms:{tDiffuse:{value:null}},vertexShader:`
			precision highp float;

			uniform mat4 modelViewMatrix;
			uniform mat4 projectionMatrix;

			attribute vec3 position;
			attribute vec2 uv;

			varying vec2 vUv;

			void main() {
				vUv = uv;
				gl_Position = projectionMatrix * modelViewMatrix * vec4( position, 1.0 );
			}`,fragmentShader:`
			precision highp float;

			uniform sampler2D tDiffuse;

			varying vec2 vUv;

			#include <tonemapping_pars_fragment>
			#include <colorspace_pars_fragment>

			void main() {
				gl_FragColor = texture2D( tDiffuse, vUv );

				#ifdef LINEAR_TONE_MAPPING
					gl_FragColor.rgb = LinearToneMapping( gl_FragColor.rgb );
				#elif defined( REINHARD_TONE_MAPPING )
					gl_FragColor.rgb = ReinhardToneMapping( gl_FragColor.rgb );
				#elif defined( CINEON_TONE_MAPPING )
					gl_FragColor.rgb = CineonToneMapping( gl_FragColor.rgb );
				#elif defined( ACES_FILMIC_TONE_MAPPING )
					gl_FragColor.rgb = ACESFilmicToneMapping( gl_FragColor.rgb );
				#elif defined( AGX_TONE_MAPPING )
					gl_FragColor.rgb = AgXToneMapping( gl_FragColor.rgb );
				#elif defined( NEUTRAL_TONE_MAPPING )
					gl_FragColor.rgb = NeutralToneMapping( gl_FragColor.rgb );
				#elif defined( CUSTOM_TONE_MAPPING )
					gl_FragColor.rgb = CustomToneMapping( gl_FragColor.rgb );
				#endif

				#ifdef SRGB_TRANSFER
					gl_FragColor = sRGBTransferOETF( gl_FragColor );
				#endif
			}`,depthTest:!1,depthWrite:!1}),u=new Oe(h,d),f=new Uo(-1,1,1,-1,0,1),g=null,M=null,p=!1,m,S=null,R=[],T=!1;this.setSize=function(E,A){o.setSize(E,A),a!==null&&a.setSize(E,A),l!==null&&l.setSize(E,A);for(let _=0;_<R.length;_++){let w=R[_];w.setSize&&w.setSize(E,A)}},this.setEffects=function(E){R=E,T=R.length>0&&R[0].isRenderPass===!0;let A=o.width,_=o.height;R.length>0&&a===null&&(a=new je(A,_,{type:wn,depthBuffer:!1,stencilBuffer:!1}),l=new je(A,_,{type:wn,depthBuffer:!1,stencilBuffer:!1}));let w=s===!0&&R.some(B=>B.needsDepthTexture===!0);w!==(o.depthTexture!==null)&&(w===!0&&c===null&&(c=new Zn(A,_),r===!0&&(c.format=Kn,c.type=Ui)),o.dispose(),o.depthTexture=w?c:null,o.resolveDepthBuffer=w,o.storeMultisampledDepthBuffer=w);for(let B=0;B<R.length;B++){let L=R[B];L.setSize&&L.setSize(A,_),w&&L.needsDepthTexture===!0&&L.setDepthTexture&&L.setDepthTexture(c)}},this.begin=function(E,A){if(p||E.toneMapping===Dn&&R.length===0)return!1;if(S=A,A!==null){let _=A.width,w=A.height;(o.width!==_||o.height!==w)&&this.setSize(_,w)}return T===!1&&E.setRenderTarget(o),m=E.toneMapping,E.toneMapping=Dn,!0},this.hasRenderPass=function(){return T},this.end=function(E,A){E.toneMapping=m,p=!0;let _=o,w=a;for(let B=0;B<R.length;B++){let L=R[B];L.enabled!==!1&&(L.render(E,w,_,A),L.needsSwap!==!1&&(_=w,w=w===a?l:a))}if(g!==E.outputColorSpace||M!==E.toneMapping){g=E.outputColorSpace,M=E.toneMapping,d.defines={},zt.getTransfer(g)===Jt&&(d.defines.SRGB_TRANSFER="");let B=wv[M];B&&(d.defines[B]=""),d.needsUpdate=!0}d.uniforms.tDiffuse.value=_.texture,E.setRenderTarget(S),E.render(u,f),S=null,p=!1},this.isCompositing=function(){return p},this.dispose=function(){o.dispose(),a!==null&&a.dispose(),l!==null&&l.dispose(),h.dispose(),d.dispose()}}var Od=new We,Fd=new Zn(1,1),Bd=new Ks(1),kd=new Ws,zd=new vo,Gd=new Js,md=[],gd=[],_d=new Float32Array(16),xd=new Float32Array(9),vd=new Float32Array(4);function gs(n,t,e){let i=n[0];if(i<=0||i>0)return n;let s=t*e,r=md[s];if(r===void 0&&(r=new Float32Array(s),md[s]=r),t!==0){i.toArray(r,0);for(let o=1,a=0;o!==t;++o)a+=e,n[o].toArray(r,a)}return r}function Me(n,t){if(n.length!==t.length)return!1;for(let e=0,i=n.length;e<i;e++)if(n[e]!==t[e])return!1;return!0}function Se(n,t){for(let e=0,i=t.length;e<i;e++)n[e]=t[e]}function Ea(n,t){let e=gd[t];e===void 0&&(e=new Int32Array(t),gd[t]=e);for(let i=0;i!==t;++i)e[i]=n.allocateTextureUnit();return e}function Av(n,t){let e=this.cache;e[0]!==t&&(n.uniform1f(this.addr,t),e[0]=t)}function Ev(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y)&&(n.uniform2f(this.addr,t.x,t.y),e[0]=t.x,e[1]=t.y);else{if(Me(e,t))return;n.uniform2fv(this.addr,t),Se(e,t)}}function Rv(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z)&&(n.uniform3f(this.addr,t.x,t.y,t.z),e[0]=t.x,e[1]=t.y,e[2]=t.z);else if(t.r!==void 0)(e[0]!==t.r||e[1]!==t.g||e[2]!==t.b)&&(n.uniform3f(this.addr,t.r,t.g,t.b),e[0]=t.r,e[1]=t.g,e[2]=t.b);else{if(Me(e,t))return;n.uniform3fv(this.addr,t),Se(e,t)}}function Cv(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z||e[3]!==t.w)&&(n.uniform4f(this.addr,t.x,t.y,t.z,t.w),e[0]=t.x,e[1]=t.y,e[2]=t.z,e[3]=t.w);else{if(Me(e,t))return;n.uniform4fv(this.addr,t),Se(e,t)}}function Iv(n,t){let e=this.cache,i=t.elements;if(i===void 0){if(Me(e,t))return;n.uniformMatrix2fv(this.addr,!1,t),Se(e,t)}else{if(Me(e,i))return;vd.set(i),n.uniformMatrix2fv(this.addr,!1,vd),Se(e,i)}}function Pv(n,t){let e=this.cache,i=t.elements;if(i===void 0){if(Me(e,t))return;n.uniformMatrix3fv(this.addr,!1,t),Se(e,t)}else{if(Me(e,i))return;xd.set(i),n.uniformMatrix3fv(this.addr,!1,xd),Se(e,i)}}function Lv(n,t){let e=this.cache,i=t.elements;if(i===void 0){if(Me(e,t))return;n.uniformMatrix4fv(this.addr,!1,t),Se(e,t)}else{if(Me(e,i))return;_d.set(i),n.uniformMatrix4fv(this.addr,!1,_d),Se(e,i)}}function Nv(n,t){let e=this.cache;e[0]!==t&&(n.uniform1i(this.addr,t),e[0]=t)}function Dv(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y)&&(n.uniform2i(this.addr,t.x,t.y),e[0]=t.x,e[1]=t.y);else{if(Me(e,t))return;n.uniform2iv(this.addr,t),Se(e,t)}}function Uv(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z)&&(n.uniform3i(this.addr,t.x,t.y,t.z),e[0]=t.x,e[1]=t.y,e[2]=t.z);else{if(Me(e,t))return;n.uniform3iv(this.addr,t),Se(e,t)}}function Ov(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z||e[3]!==t.w)&&(n.uniform4i(this.addr,t.x,t.y,t.z,t.w),e[0]=t.x,e[1]=t.y,e[2]=t.z,e[3]=t.w);else{if(Me(e,t))return;n.uniform4iv(this.addr,t),Se(e,t)}}function Fv(n,t){let e=this.cache;e[0]!==t&&(n.uniform1ui(this.addr,t),e[0]=t)}function Bv(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y)&&(n.uniform2ui(this.addr,t.x,t.y),e[0]=t.x,e[1]=t.y);else{if(Me(e,t))return;n.uniform2uiv(this.addr,t),Se(e,t)}}function kv(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z)&&(n.uniform3ui(this.addr,t.x,t.y,t.z),e[0]=t.x,e[1]=t.y,e[2]=t.z);else{if(Me(e,t))return;n.uniform3uiv(this.addr,t),Se(e,t)}}function zv(n,t){let e=this.cache;if(t.x!==void 0)(e[0]!==t.x||e[1]!==t.y||e[2]!==t.z||e[3]!==t.w)&&(n.uniform4ui(this.addr,t.x,t.y,t.z,t.w),e[0]=t.x,e[1]=t.y,e[2]=t.z,e[3]=t.w);else{if(Me(e,t))return;n.uniform4uiv(this.addr,t),Se(e,t)}}function Ra(n){return n.version===0&&(n.compareFunction=ac,n.needsUpdate=!0),n}function Gv(n,t,e){let i=this.cache,s=e.allocateTextureUnit();i[0]!==s&&(n.uniform1i(this.addr,s),i[0]=s);let r;this.type===n.SAMPLER_2D_SHADOW?r=Ra(Fd):r=Od,e.setTexture2D(t||r,s)}function Vv(n,t,e){let i=this.cache,s=e.allocateTextureUnit();i[0]!==s&&(n.uniform1i(this.addr,s),i[0]=s),e.setTexture3D(t||zd,s)}function Hv(n,t,e){let i=this.cache,s=e.allocateTextureUnit();i[0]!==s&&(n.uniform1i(this.addr,s),i[0]=s);let r;this.type===n.SAMPLER_CUBE_SHADOW?r=Ra(Bd):r=Gd,e.setTextureCube(t||r,s)}function Wv(n,t,e){let i=this.cache,s=e.allocateTextureUnit();i[0]!==s&&(n.uniform1i(this.addr,s),i[0]=s),e.setTexture2DArray(t||kd,s)}function Xv(n){switch(n){case 5126:return Av;case 35664:return Ev;case 35665:return Rv;case 35666:return Cv;case 35674:return Iv;case 35675:return Pv;case 35676:return Lv;case 5124:case 35670:return Nv;case 35667:case 35671:return Dv;case 35668:case 35672:return Uv;case 35669:case 35673:return Ov;case 5125:return Fv;case 36294:return Bv;case 36295:return kv;case 36296:return zv;case 35678:case 36198:case 36298:case 36306:case 35682:return Gv;case 35679:case 36299:case 36307:return Vv;case 35680:case 36300:case 36308:case 36293:return Hv;case 36289:case 36303:case 36311:case 36292:return Wv}}function qv(n,t){n.uniform1fv(this.addr,t)}function $v(n,t){let e=gs(t,this.size,2);n.uniform2fv(this.addr,e)}function Yv(n,t){let e=gs(t,this.size,3);n.uniform3fv(this.addr,e)}function Zv(n,t){let e=gs(t,this.size,4);n.uniform4fv(this.addr,e)}function Jv(n,t){let e=gs(t,this.size,4);n.uniformMatrix2fv(this.addr,!1,e)}function Kv(n,t){let e=gs(t,this.size,9);n.uniformMatrix3fv(this.addr,!1,e)}function jv(n,t){let e=gs(t,this.size,16);n.uniformMatrix4fv(this.addr,!1,e)}function Qv(n,t){n.uniform1iv(this.addr,t)}function ty(n,t){n.uniform2iv(this.addr,t)}function ey(n,t){n.uniform3iv(this.addr,t)}function ny(n,t){n.uniform4iv(this.addr,t)}function iy(n,t){n.uniform1uiv(this.addr,t)}function sy(n,t){n.uniform2uiv(this.addr,t)}function ry(n,t){n.uniform3uiv(this.addr,t)}function oy(n,t){n.uniform4uiv(this.addr,t)}function ay(n,t,e){let i=this.cache,s=t.length,r=Ea(e,s);Me(i,r)||(n.uniform1iv(this.addr,r),Se(i,r));let o;this.type===n.SAMPLER_2D_SHADOW?o=Ra(Fd):o=Od;for(let a=0;a!==s;++a)e.setTexture2D(t[a]||o,r[a])}function ly(n,t,e){let i=this.cache,s=t.length,r=Ea(e,s);Me(i,r)||(n.uniform1iv(this.addr,r),Se(i,r));for(let o=0;o!==s;++o)e.setTexture3D(t[o]||zd,r[o])}function cy(n,t,e){let i=this.cache,s=t.length,r=Ea(e,s);Me(i,r)||(n.uniform1iv(this.addr,r),Se(i,r));let o;this.type===n.SAMPLER_CUBE_SHADOW?o=Ra(Bd):o=Gd;for(let a=0;a!==s;++a)e.setTextureCube(t[a]||o,r[a])}function hy(n,t,e){let i=this.cache,s=t.length,r=Ea(e,s);Me(i,r)||(n.uniform1iv(this.addr,r),Se(i,r));for(let o=0;o!==s;++o)e.setTexture2DArray(t[o]||kd,r[o])}function uy(n){switch(n){case 5126:return qv;case 35664:return $v;case 35665:return Yv;case 35666:return Zv;case 35674:return Jv;case 35675:return Kv;case 35676:return jv;case 5124:case 35670:return Qv;case 35667:case 35671:return ty;case 35668:case 35672:return ey;case 35669:case 35673:return ny;case 5125:return iy;case 36294:return sy;case 36295:return ry;case 36296:return oy;case 35678:case 36198:case 36298:case 36306:case 35682:return ay;case 35679:case 36299:case 36307:return ly;case 35680:case 36300:case 36308:case 36293:return cy;case 36289:case 36303:case 36311:case 36292:return hy}}var mc=class{constructor(t,e,i){this.id=t,this.addr=i,this.cache=[],this.type=e.type,this.setValue=Xv(e.type)}},gc=class{constructor(t,e,i){this.id=t,this.addr=i,this.cache=[],this.type=e.type,this.size=e.size,this.setValue=uy(e.type)}},_c=class{constructor(t){this.id=t,this.seq=[],this.map={}}setValue(t,e,i){let s=this.seq;for(let r=0,o=s.length;r!==o;++r){let a=s[r];a.setValue(t,e[a.id],i)}}},fc=/(\w+)(\])?(\[|\.)?/g;function yd(n,t){n.seq.push(t),n.map[t.id]=t}function dy(n,t,e){let i=n.name,s=i.length;for(fc.lastIndex=0;;){let r=fc.exec(i),o=fc.lastIndex,a=r[1],l=r[2]==="]",c=r[3];if(l&&(a=a|0),c===void 0||c==="["&&o+2===s){yd(e,c===void 0?new mc(a,n,t):new gc(a,n,t));break}else{let d=e.map[a];d===void 0&&(d=new _c(a),yd(e,d)),e=d}}}var ms=class{constructor(t,e){this.seq=[],this.map={};let i=t.getProgramParameter(e,t.ACTIVE_UNIFORMS);for(let o=0;o<i;++o){let a=t.getActiveUniform(e,o),l=t.getUniformLocation(e,a.name);dy(a,l,this)}let s=[],r=[];for(let o of this.seq)o.type===t.SAMPLER_2D_SHADOW||o.type===t.SAMPLER_CUBE_SHADOW||o.type===t.SAMPLER_2D_ARRAY_SHADOW?s.push(o):r.push(o);s.length>0&&(this.seq=s.concat(r))}setValue(t,e,i,s){let r=this.map[e];r!==void 0&&r.setValue(t,i,s)}setOptional(t,e,i){let s=e[i];s!==void 0&&this.setValue(t,i,s)}static upload(t,e,i,s){for(let r=0,o=e.length;r!==o;++r){let a=e[r],l=i[a.id];l.needsUpdate!==!1&&a.setValue(t,l.value,s)}}static seqWithValue(t,e){let i=[];for(let s=0,r=t.length;s!==r;++s){let o=t[s];o.id in e&&i.push(o)}return i}};function Md(n,t,e){let i=n.createShader(t);return n.shaderSource(i,e),n.compileShader(i),i}var fy=37297,py=0;function my(n,t){let e=n.split(`
`),i=[],s=Math.max(t-6,0),r=Math.min(t+6,e.length);for(let o=s;o<r;o++){let a=o+1;i.push(`${a===t?">":" "} ${a}: ${e[o]}`)}return i.join(`
`)}var Sd=new Lt;function gy(n){zt._getMatrix(Sd,zt.workingColorSpace,n);let t=`mat3( ${Sd.elements.map(e=>e.toFixed(4))} )`;switch(zt.getTransfer(n)){case zs:return[t,"LinearTransferOETF"];case Jt:return[t,"sRGBTransferOETF"];default:return It("WebGLProgram: Unsupported color space: ",n),[t,"LinearTransferOETF"]}}function bd(n,t,e){let i=n.getShaderParameter(t,n.COMPILE_STATUS),r=(n.getShaderInfoLog(t)||"").trim();if(i&&r==="")return"";let o=/ERROR: 0:(\d+)/.exec(r);if(o){let a=parseInt(o[1]);return e.toUpperCase()+`

`+r+`

`+my(n.getShaderSource(t),a)}else return r}function _y(n,t){let e=gy(t);return[`vec4 ${n}( vec4 value ) {`,`	return ${e[1]}( vec4( ${e[0]} * value.rgb, value.a ) );`,"}"].join(`
`)}var xy={[Hl]:"Linear",[Wl]:"Reinhard",[Xl]:"Cineon",[ql]:"ACESFilmic",[Yl]:"AgX",[Zl]:"Neutral",[$l]:"Custom"};function vy(n,t){let e=xy[t];return e===void 0?(It("WebGLProgram: Unsupported toneMapping:",t),"vec3 "+n+"( vec3 color ) { return LinearToneMapping( color ); }"):"vec3 "+n+"( vec3 color ) { return "+e+"ToneMapping( color ); }"}var wa=new z;function yy(){zt.getLuminanceCoefficients(wa);let n=wa.x.toFixed(4),t=wa.y.toFixed(4),e=wa.z.toFixed(4);return["float luminance( const in vec3 rgb ) {",`	const vec3 weights = vec3( ${n}, ${t}, ${e} );`,"	return dot( weights, rgb );","}"].join(`
`)}function My(n){return[n.extensionClipCullDistance?"#extension GL_ANGLE_clip_cull_distance : require":"",n.extensionMultiDraw?"#extension GL_ANGLE_multi_draw : require":""].filter(hr).join(`
`)}function Sy(n){let t=[];for(let e in n){let i=n[e];i!==!1&&t.push("#define "+e+" "+i)}return t.join(`
`)}function by(n,t){let e={},i=n.getProgramParameter(t,n.ACTIVE_ATTRIBUTES);for(let s=0;s<i;s++){let r=n.getActiveAttrib(t,s),o=r.name,a=1;r.type===n.FLOAT_MAT2&&(a=2),r.type===n.FLOAT_MAT3&&(a=3),r.type===n.FLOAT_MAT4&&(a=4),e[o]={type:r.type,location:n.getAttribLocation(t,o),locationSize:a}}return e}function hr(n){return n!==""}function wd(n,t){let e=t.numSpotLightShadows+t.numSpotLightMaps-t.numSpotLightShadowsWithMaps;return n.replace(/NUM_SUN_LIGHTS/g,t.numSunLights).replace(/NUM_DIR_LIGHTS/g,t.numDirLights).replace(/NUM_SPOT_LIGHTS/g,t.numSpotLights).replace(/NUM_SPOT_LIGHT_MAPS/g,t.numSpotLightMaps).replace(/NUM_SPOT_LIGHT_COORDS/g,e).replace(/NUM_RECT_AREA_LIGHTS/g,t.numRectAreaLights).replace(/NUM_POINT_LIGHTS/g,t.numPointLights).replace(/NUM_HEMI_LIGHTS/g,t.numHemiLights).replace(/NUM_SUN_LIGHT_SHADOWS/g,t.numSunLightShadows).replace(/NUM_DIR_LIGHT_SHADOWS/g,t.numDirLightShadows).replace(/NUM_SPOT_LIGHT_SHADOWS_WITH_MAPS/g,t.numSpotLightShadowsWithMaps).replace(/NUM_SPOT_LIGHT_SHADOWS/g,t.numSpotLightShadows).replace(/NUM_POINT_LIGHT_SHADOWS/g,t.numPointLightShadows).replace(/NUM_LIGHT_PROBE_GRIDS/g,t.numLightProbeGrids)}function Td(n,t){return n.replace(/NUM_CLIPPING_PLANES/g,t.numClippingPlanes).replace(/UNION_CLIPPING_PLANES/g,t.numClippingPlanes-t.numClipIntersection)}var wy=/^[ \t]*#include +<([\w\d./]+)>/gm;function xc(n){return n.replace(wy,Ty)}function Ty(n,t){let e=kt[t];if(e===void 0)throw new Error("THREE.WebGLProgram: Can not resolve #include <"+t+">");return xc(e)}var Ay=/#pragma unroll_loop_start\s+for\s*\(\s*int\s+i\s*=\s*(\d+)\s*;\s*i\s*<\s*(\d+)\s*;\s*i\s*\+\+\s*\)\s*{([\s\S]+?)}\s+#pragma unroll_loop_end/g;function Ad(n){return n.replace(Ay,Ey)}function Ey(n,t,e,i){let s="";for(let r=parseInt(t);r<parseInt(e);r++)s+=i.replace(/\[\s*i\s*\]/g,"[ "+r+" ]").replace(/UNROLLED_LOOP_INDEX/g,r);return s}function Ed(n){let t=`precision ${n.precision} float;
	precision ${n.precision} int;
	precision ${n.precision} sampler2D;
	precision ${n.precision} samplerCube;
	precision ${n.precision} sampler3D;
	precision ${n.precision} sampler2DArray;
	precision ${n.precision} sampler2DShadow;
	precision ${n.precision} samplerCubeShadow;
	precision ${n.precision} sampler2DArrayShadow;
	precision ${n.precision} isampler2D;
	precision ${n.precision} isampler3D;
	precision ${n.precision} isamplerCube;
	precision ${n.precision} isampler2DArray;
	precision ${n.precision} usampler2D;
	precision ${n.precision} usampler3D;
	precision ${n.precision} usamplerCube;
	precision ${n.precision} usampler2DArray;
	`;return n.precision==="highp"?t+=`
#define HIGH_PRECISION`:n.precision==="mediump"?t+=`
#define MEDIUM_PRECISION`:n.precision==="lowp"&&(t+=`
#define LOW_PRECISION`),t}var Ry={[er]:"SHADOWMAP_TYPE_PCF",[us]:"SHADOWMAP_TYPE_VSM"};function Cy(n){return Ry[n.shadowMapType]||"SHADOWMAP_TYPE_BASIC"}var Iy={[fs]:"ENVMAP_MODE_REFRACTION"};function Py(n){return n.envMap===!1?"ENVMAP_MODE_REFLECTION":Iy[n.envMapMode]||"ENVMAP_MODE_REFLECTION"}var Ly={[Vl]:"ENVMAP_BLENDING_MULTIPLY",[Hu]:"ENVMAP_BLENDING_MIX",[Wu]:"ENVMAP_BLENDING_ADD"};function Ny(n){return n.envMap===!1?"ENVMAP_BLENDING_NONE":Ly[n.combine]||"ENVMAP_BLENDING_NONE"}function Dy(n,t,e,i){let s=n.getContext(),r=e.defines,o=e.vertexShader,a=e.fragmentShader,l=Cy(e),c=e.envMapPMREM===!0?"ENVMAP_TYPE_PMREM":"ENVMAP_TYPE_CUBE",h=Py(e),d=Ny(e),u=My(e),f=Sy(r),g=s.createProgram(),M,p,m=e.glslVersion?"#version "+e.glslVersion+`
`:"";e.isRawShaderMaterial?(M=["#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f].filter(hr).join(`
`),M.length>0&&(M+=`
`),p=["#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f].filter(hr).join(`
`),p.length>0&&(p+=`
`)):(M=[Ed(e),"#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f,e.extensionClipCullDistance?"#define USE_CLIP_DISTANCE":"",e.batching?"#define USE_BATCHING":"",e.batchingColor?"#define USE_BATCHING_COLOR":"",e.instancing?"#define USE_INSTANCING":"",e.instancingColor?"#define USE_INSTANCING_COLOR":"",e.instancingMorph?"#define USE_INSTANCING_MORPH":"",e.useFog&&e.fog?"#define USE_FOG":"",e.useFog&&e.fogExp2?"#define FOG_EXP2":"",e.map?"#define USE_MAP":"",e.envMap?"#define USE_ENVMAP":"",e.envMap?"#define "+h:"",e.lightMap?"#define USE_LIGHTMAP":"",e.aoMap?"#define USE_AOMAP":"",e.bumpMap?"#define USE_BUMPMAP":"",e.normalMap?"#define USE_NORMALMAP":"",e.normalMapObjectSpace?"#define USE_NORMALMAP_OBJECTSPACE":"",e.normalMapTangentSpace?"#define USE_NORMALMAP_TANGENTSPACE":"",e.displacementMap?"#define USE_DISPLACEMENTMAP":"",e.emissiveMap?"#define USE_EMISSIVEMAP":"",e.anisotropy?"#define USE_ANISOTROPY":"",e.anisotropyMap?"#define USE_ANISOTROPYMAP":"",e.clearcoatMap?"#define USE_CLEARCOATMAP":"",e.clearcoatRoughnessMap?"#define USE_CLEARCOAT_ROUGHNESSMAP":"",e.clearcoatNormalMap?"#define USE_CLEARCOAT_NORMALMAP":"",e.diffuseRoughnessMap?"#define USE_DIFFUSE_ROUGHNESSMAP":"",e.iridescenceMap?"#define USE_IRIDESCENCEMAP":"",e.iridescenceThicknessMap?"#define USE_IRIDESCENCE_THICKNESSMAP":"",e.specularMap?"#define USE_SPECULARMAP":"",e.specularColorMap?"#define USE_SPECULAR_COLORMAP":"",e.specularIntensityMap?"#define USE_SPECULAR_INTENSITYMAP":"",e.roughnessMap?"#define USE_ROUGHNESSMAP":"",e.metalnessMap?"#define USE_METALNESSMAP":"",e.alphaMap?"#define USE_ALPHAMAP":"",e.alphaHash?"#define USE_ALPHAHASH":"",e.transmission?"#define USE_TRANSMISSION":"",e.transmissionMap?"#define USE_TRANSMISSIONMAP":"",e.thicknessMap?"#define USE_THICKNESSMAP":"",e.sheenColorMap?"#define USE_SHEEN_COLORMAP":"",e.sheenRoughnessMap?"#define USE_SHEEN_ROUGHNESSMAP":"",e.mapUv?"#define MAP_UV "+e.mapUv:"",e.alphaMapUv?"#define ALPHAMAP_UV "+e.alphaMapUv:"",e.lightMapUv?"#define LIGHTMAP_UV "+e.lightMapUv:"",e.aoMapUv?"#define AOMAP_UV "+e.aoMapUv:"",e.emissiveMapUv?"#define EMISSIVEMAP_UV "+e.emissiveMapUv:"",e.bumpMapUv?"#define BUMPMAP_UV "+e.bumpMapUv:"",e.normalMapUv?"#define NORMALMAP_UV "+e.normalMapUv:"",e.displacementMapUv?"#define DISPLACEMENTMAP_UV "+e.displacementMapUv:"",e.metalnessMapUv?"#define METALNESSMAP_UV "+e.metalnessMapUv:"",e.roughnessMapUv?"#define ROUGHNESSMAP_UV "+e.roughnessMapUv:"",e.anisotropyMapUv?"#define ANISOTROPYMAP_UV "+e.anisotropyMapUv:"",e.clearcoatMapUv?"#define CLEARCOATMAP_UV "+e.clearcoatMapUv:"",e.clearcoatNormalMapUv?"#define CLEARCOAT_NORMALMAP_UV "+e.clearcoatNormalMapUv:"",e.clearcoatRoughnessMapUv?"#define CLEARCOAT_ROUGHNESSMAP_UV "+e.clearcoatRoughnessMapUv:"",e.diffuseRoughnessMapUv?"#define DIFFUSE_ROUGHNESSMAP_UV "+e.diffuseRoughnessMapUv:"",e.iridescenceMapUv?"#define IRIDESCENCEMAP_UV "+e.iridescenceMapUv:"",e.iridescenceThicknessMapUv?"#define IRIDESCENCE_THICKNESSMAP_UV "+e.iridescenceThicknessMapUv:"",e.sheenColorMapUv?"#define SHEEN_COLORMAP_UV "+e.sheenColorMapUv:"",e.sheenRoughnessMapUv?"#define SHEEN_ROUGHNESSMAP_UV "+e.sheenRoughnessMapUv:"",e.specularMapUv?"#define SPECULARMAP_UV "+e.specularMapUv:"",e.specularColorMapUv?"#define SPECULAR_COLORMAP_UV "+e.specularColorMapUv:"",e.specularIntensityMapUv?"#define SPECULAR_INTENSITYMAP_UV "+e.specularIntensityMapUv:"",e.transmissionMapUv?"#define TRANSMISSIONMAP_UV "+e.transmissionMapUv:"",e.thicknessMapUv?"#define THICKNESSMAP_UV "+e.thicknessMapUv:"",e.vertexTangents&&e.flatShading===!1?"#define USE_TANGENT":"",e.vertexNormals?"#define HAS_NORMAL":"",e.vertexColors?"#define USE_COLOR":"",e.vertexAlphas?"#define USE_COLOR_ALPHA":"",e.vertexUv1s?"#define USE_UV1":"",e.vertexUv2s?"#define USE_UV2":"",e.vertexUv3s?"#define USE_UV3":"",e.pointsUvs?"#define USE_POINTS_UV":"",e.flatShading?"#define FLAT_SHADED":"",e.skinning?"#define USE_SKINNING":"",e.morphTargets?"#define USE_MORPHTARGETS":"",e.morphNormals&&e.flatShading===!1?"#define USE_MORPHNORMALS":"",e.morphColors?"#define USE_MORPHCOLORS":"",e.morphTargetsCount>0?"#define MORPHTARGETS_TEXTURE_STRIDE "+e.morphTextureStride:"",e.morphTargetsCount>0?"#define MORPHTARGETS_COUNT "+e.morphTargetsCount:"",e.doubleSided?"#define DOUBLE_SIDED":"",e.flipSided?"#define FLIP_SIDED":"",e.shadowMapEnabled?"#define USE_SHADOWMAP":"",e.shadowMapEnabled?"#define "+l:"",e.sizeAttenuation?"#define USE_SIZEATTENUATION":"",e.numLightProbes>0?"#define USE_LIGHT_PROBES":"",e.logarithmicDepthBuffer?"#define USE_LOGARITHMIC_DEPTH_BUFFER":"",e.reversedDepthBuffer?"#define USE_REVERSED_DEPTH_BUFFER":"","uniform mat4 modelMatrix;","uniform mat4 modelViewMatrix;","uniform mat4 projectionMatrix;","uniform mat4 viewMatrix;","uniform mat3 normalMatrix;","uniform vec3 cameraPosition;","uniform bool isOrthographic;","#ifdef USE_INSTANCING","	attribute mat4 instanceMatrix;","#endif","#ifdef USE_INSTANCING_COLOR","	attribute vec3 instanceColor;","#endif","#ifdef USE_INSTANCING_MORPH","	uniform sampler2D morphTexture;","#endif","attribute vec3 position;","attribute vec3 normal;","attribute vec2 uv;","#ifdef USE_UV1","	attribute vec2 uv1;","#endif","#ifdef USE_UV2","	attribute vec2 uv2;","#endif","#ifdef USE_UV3","	attribute vec2 uv3;","#endif","#ifdef USE_TANGENT","	attribute vec4 tangent;","#endif","#if defined( USE_COLOR_ALPHA )","	attribute vec4 color;","#elif defined( USE_COLOR )","	attribute vec3 color;","#endif","#ifdef USE_SKINNING","	attribute vec4 skinIndex;","	attribute vec4 skinWeight;","#endif",`
`].filter(hr).join(`
`),p=[Ed(e),"#define SHADER_TYPE "+e.shaderType,"#define SHADER_NAME "+e.shaderName,f,e.useFog&&e.fog?"#define USE_FOG":"",e.useFog&&e.fogExp2?"#define FOG_EXP2":"",e.alphaToCoverage?"#define ALPHA_TO_COVERAGE":"",e.map?"#define USE_MAP":"",e.matcap?"#define USE_MATCAP":"",e.envMap?"#define USE_ENVMAP":"",e.envMap?"#define "+c:"",e.envMap?"#define "+h:"",e.envMap?"#define "+d:"",e.envMapPMREM?"#define ENVMAP_MAX_LOD "+e.envMapMaxLod+".0":"",e.envMapPMREM?"#define ENVMAP_SIZE "+e.envMapSize+".0":"",e.lightMap?"#define USE_LIGHTMAP":"",e.aoMap?"#define USE_AOMAP":"",e.bumpMap?"#define USE_BUMPMAP":"",e.normalMap?"#define USE_NORMALMAP":"",e.normalMapObjectSpace?"#define USE_NORMALMAP_OBJECTSPACE":"",e.normalMapTangentSpace?"#define USE_NORMALMAP_TANGENTSPACE":"",e.packedNormalMap?"#define USE_PACKED_NORMALMAP":"",e.emissiveMap?"#define USE_EMISSIVEMAP":"",e.anisotropy?"#define USE_ANISOTROPY":"",e.anisotropyMap?"#define USE_ANISOTROPYMAP":"",e.clearcoat?"#define USE_CLEARCOAT":"",e.clearcoatMap?"#define USE_CLEARCOATMAP":"",e.clearcoatRoughnessMap?"#define USE_CLEARCOAT_ROUGHNESSMAP":"",e.clearcoatNormalMap?"#define USE_CLEARCOAT_NORMALMAP":"",e.diffuseRoughness?"#define USE_DIFFUSE_ROUGHNESS":"",e.diffuseRoughnessMap?"#define USE_DIFFUSE_ROUGHNESSMAP":"",e.dispersion?"#define USE_DISPERSION":"",e.retroreflection?"#define USE_RETROREFLECTION":"",e.iridescence?"#define USE_IRIDESCENCE":"",e.iridescenceMap?"#define USE_IRIDESCENCEMAP":"",e.iridescenceThicknessMap?"#define USE_IRIDESCENCE_THICKNESSMAP":"",e.specularMap?"#define USE_SPECULARMAP":"",e.specularColorMap?"#define USE_SPECULAR_COLORMAP":"",e.specularIntensityMap?"#define USE_SPECULAR_INTENSITYMAP":"",e.roughnessMap?"#define USE_ROUGHNESSMAP":"",e.metalnessMap?"#define USE_METALNESSMAP":"",e.alphaMap?"#define USE_ALPHAMAP":"",e.alphaTest?"#define USE_ALPHATEST":"",e.alphaHash?"#define USE_ALPHAHASH":"",e.sheen?"#define USE_SHEEN":"",e.sheenColorMap?"#define USE_SHEEN_COLORMAP":"",e.sheenRoughnessMap?"#define USE_SHEEN_ROUGHNESSMAP":"",e.transmission?"#define USE_TRANSMISSION":"",e.transmissionMap?"#define USE_TRANSMISSIONMAP":"",e.thicknessMap?"#define USE_THICKNESSMAP":"",e.vertexTangents&&e.flatShading===!1?"#define USE_TANGENT":"",e.vertexColors||e.instancingColor?"#define USE_COLOR":"",e.vertexAlphas||e.batchingColor?"#define USE_COLOR_ALPHA":"",e.vertexUv1s?"#define USE_UV1":"",e.vertexUv2s?"#define USE_UV2":"",e.vertexUv3s?"#define USE_UV3":"",e.pointsUvs?"#define USE_POINTS_UV":"",e.gradientMap?"#define USE_GRADIENTMAP":"",e.flatShading?"#define FLAT_SHADED":"",e.doubleSided?"#define DOUBLE_SIDED":"",e.flipSided?"#define FLIP_SIDED":"",e.shadowMapEnabled?"#define USE_SHADOWMAP":"",e.shadowMapEnabled?"#define "+l:"",e.premultipliedAlpha?"#define PREMULTIPLIED_ALPHA":"",e.numLightProbes>0?"#define USE_LIGHT_PROBES":"",e.decodeVideoTexture?"#define DECODE_VIDEO_TEXTURE":"",e.decodeVideoTextureEmissive?"#define DECODE_VIDEO_TEXTURE_EMISSIVE":"",e.logarithmicDepthBuffer?"#define USE_LOGARITHMIC_DEPTH_BUFFER":"",e.reversedDepthBuffer?"#define USE_REVERSED_DEPTH_BUFFER":"","uniform mat4 viewMatrix;","uniform vec3 cameraPosition;","uniform bool isOrthographic;",e.toneMapping!==Dn?"#define TONE_MAPPING":"",e.toneMapping!==Dn?kt.tonemapping_pars_fragment:"",e.toneMapping!==Dn?vy("toneMapping",e.toneMapping):"",e.dithering?"#define DITHERING":"",e.opaque?"#define OPAQUE":"",kt.colorspace_pars_fragment,_y("linearToOutputTexel",e.outputColorSpace),yy(),e.useDepthPacking?"#define DEPTH_PACKING "+e.depthPacking:"",`
`].filter(hr).join(`
`)),o=xc(o),o=wd(o,e),o=Td(o,e),a=xc(a),a=wd(a,e),a=Td(a,e),o=Ad(o),a=Ad(a),e.isRawShaderMaterial!==!0&&(m=`#version 300 es
`,M=[u,"#define attribute in","#define varying out","#define texture2D texture"].join(`
`)+`
`+M,p=["#define varying in",e.glslVersion===Oi?"":"layout(location = 0) out highp vec4 pc_fragColor;",e.glslVersion===Oi?"":"#define gl_FragColor pc_fragColor","#define gl_FragDepthEXT gl_FragDepth","#define texture2D texture","#define textureCube texture","#define texture2DProj textureProj","#define texture2DLodEXT textureLod","#define texture2DProjLodEXT textureProjLod","#define textureCubeLodEXT textureLod","#define texture2DGradEXT textureGrad","#define texture2DProjGradEXT textureProjGrad","#define textureCubeGradEXT textureGrad"].join(`
`)+`
`+p);let S=m+M+o,R=m+p+a,T=Md(s,s.VERTEX_SHADER,S),E=Md(s,s.FRAGMENT_SHADER,R);s.attachShader(g,T),s.attachShader(g,E),e.index0AttributeName!==void 0?s.bindAttribLocation(g,0,e.index0AttributeName):e.hasPositionAttribute===!0&&s.bindAttribLocation(g,0,"position"),s.linkProgram(g);function A(L){if(n.debug.checkShaderErrors){let D=s.getProgramInfoLog(g)||"",G=s.getShaderInfoLog(T)||"",$=s.getShaderInfoLog(E)||"",P=D.trim(),X=G.trim(),K=$.trim(),V=!0,nt=!0;if(s.getProgramParameter(g,s.LINK_STATUS)===!1)if(V=!1,typeof n.debug.onShaderError=="function")n.debug.onShaderError(s,g,T,E);else{let W=bd(s,T,"vertex"),Q=bd(s,E,"fragment");Pt("WebGLProgram: Shader Error "+s.getError()+" - VALIDATE_STATUS "+s.getProgramParameter(g,s.VALIDATE_STATUS)+`

Material Name: `+L.name+`
Material Type: `+L.type+`

Program Info Log: `+P+`
`+W+`
`+Q)}else P!==""?It("WebGLProgram: Program Info Log:",P):(X===""||K==="")&&(nt=!1);nt&&(L.diagnostics={runnable:V,programLog:P,vertexShader:{log:X,prefix:M},fragmentShader:{log:K,prefix:p}})}s.deleteShader(T),s.deleteShader(E),_=new ms(s,g),w=by(s,g)}let _;this.getUniforms=function(){return _===void 0&&A(this),_};let w;this.getAttributes=function(){return w===void 0&&A(this),w};let B=e.rendererExtensionParallelShaderCompile===!1;return this.isReady=function(){return B===!1&&(B=s.getProgramParameter(g,fy)),B},this.destroy=function(){i.releaseStatesOfProgram(this),s.deleteProgram(g),this.program=void 0},this.type=e.shaderType,this.name=e.shaderName,this.id=py++,this.cacheKey=t,this.usedTimes=1,this.program=g,this.vertexShader=T,this.fragmentShader=E,this}var Uy=0,vc=class{constructor(){this.shaderCache=new Map,this.materialCache=new Map}update(t,e,i){let s=this._getShaderCacheForMaterial(t);return s.has(e)===!1&&(s.add(e),e.usedTimes++),s.has(i)===!1&&(s.add(i),i.usedTimes++),this}remove(t){let e=this.materialCache.get(t);for(let i of e)i.usedTimes--,i.usedTimes===0&&this.shaderCache.delete(i.code);return this.materialCache.delete(t),this}getVertexShaderStage(t){return this._getShaderStage(t.vertexShader)}getFragmentShaderStage(t){return this._getShaderStage(t.fragmentShader)}dispose(){this.shaderCache.clear(),this.materialCache.clear()}_getShaderCacheForMaterial(t){let e=this.materialCache,i=e.get(t);return i===void 0&&(i=new Set,e.set(t,i)),i}_getShaderStage(t){let e=this.shaderCache,i=e.get(t);return i===void 0&&(i=new yc(t),e.set(t,i)),i}},yc=class{constructor(t){this.id=Uy++,this.code=t,this.usedTimes=0}};function Oy(n){return n===gi||n===ar||n===lr}function Fy(n,t,e,i,s,r){let o=new Xs,a=new vc,l=new Set,c=[],h=new Map,d=i.logarithmicDepthBuffer,u={MeshDepthMaterial:"depth",MeshDistanceMaterial:"distance",MeshNormalMaterial:"normal",MeshBasicMaterial:"basic",MeshLambertMaterial:"lambert",MeshPhongMaterial:"phong",MeshToonMaterial:"toon",MeshStandardMaterial:"physical",MeshPhysicalMaterial:"physical",MeshMatcapMaterial:"matcap",LineBasicMaterial:"basic",LineDashedMaterial:"dashed",PointsMaterial:"points",ShadowMaterial:"shadow",SpriteMaterial:"sprite"};function f(_){return l.add(_),_===0?"uv":`uv${_}`}function g(_,w,B,L,D,G){let $=L.fog,P=D.geometry,X=_.isMeshStandardMaterial||_.isMeshLambertMaterial||_.isMeshPhongMaterial?L.environment:null,K=_.isMeshStandardMaterial||_.isMeshLambertMaterial&&!_.envMap||_.isMeshPhongMaterial&&!_.envMap,V=t.get(_.envMap||X,K),nt=u[_.type],W=i.precision;_.precision!==null&&(W=i.getMaxPrecision(_.precision),W!==_.precision&&It("WebGLProgram.getParameters:",_.precision,"not supported, using",W,"instead."));let Q=P.morphAttributes.position||P.morphAttributes.normal||P.morphAttributes.color,tt=Q!==void 0?Q.length:0,bt=0;P.morphAttributes.position!==void 0&&(bt=1),P.morphAttributes.normal!==void 0&&(bt=2),P.morphAttributes.color!==void 0&&(bt=3);let Dt,Z,mt,yt;if(nt){let ft=On[nt];Dt=ft.vertexShader,Z=ft.fragmentShader}else{Dt=_.vertexShader,Z=_.fragmentShader;let ft=a.getVertexShaderStage(_),jt=a.getFragmentShaderStage(_);a.update(_,ft,jt),mt=ft.id,yt=jt.id}let Et=n.getRenderTarget(),gt=n.state.buffers.depth.getReversed(),Ot=D.isInstancedMesh===!0,me=D.isBatchedMesh===!0,Ct=!!_.map,Kt=!!_.matcap,te=!!V,Gt=te&&V.isPMREMTexture===!0,Re=!!_.aoMap,ve=!!_.lightMap,Ve=!!_.bumpMap&&_.wireframe===!1,ce=!!_.normalMap,Tn=!!_.displacementMap,be=!!_.emissiveMap,rn=!!_.metalnessMap,on=!!_.roughnessMap,an=_.anisotropy>0,N=_.clearcoat>0,ln=_.diffuseRoughness>0,re=_.dispersion>0,oe=_.retroreflectivity>0,dt=_.iridescence>0,ye=_.sheen>0,Rt=_.transmission>0,Nt=an&&!!_.anisotropyMap,b=N&&!!_.clearcoatMap,x=N&&!!_.clearcoatNormalMap,O=N&&!!_.clearcoatRoughnessMap,et=ln&&!!_.diffuseRoughnessMap,j=dt&&!!_.iridescenceMap,rt=dt&&!!_.iridescenceThicknessMap,ht=ye&&!!_.sheenColorMap,q=ye&&!!_.sheenRoughnessMap,Y=!!_.specularMap,at=!!_.specularColorMap,C=!!_.specularIntensityMap,J=Rt&&!!_.transmissionMap,H=Rt&&!!_.thicknessMap,lt=!!_.gradientMap,st=!!_.alphaMap,ot=_.alphaTest>0,Tt=!!_.alphaHash,Bt=!!_.extensions,it=Dn;_.toneMapped&&(Et===null||Et.isXRRenderTarget===!0)&&(it=n.toneMapping);let At=Gt?V.isCompressedCubeTexture?V.image[0].mipmaps:V.mipmaps:null,Ft={shaderID:nt,shaderType:_.type,shaderName:_.name,vertexShader:Dt,fragmentShader:Z,defines:_.defines,customVertexShaderID:mt,customFragmentShaderID:yt,isRawShaderMaterial:_.isRawShaderMaterial===!0,glslVersion:_.glslVersion,precision:W,batching:me,batchingColor:me&&D._colorsTexture!==null,instancing:Ot,instancingColor:Ot&&D.instanceColor!==null,instancingMorph:Ot&&D.morphTexture!==null,outputColorSpace:Et===null?n.outputColorSpace:Et.isXRRenderTarget===!0?Et.texture.colorSpace:zt.workingColorSpace,alphaToCoverage:!!_.alphaToCoverage,map:Ct,matcap:Kt,envMap:te,envMapMode:te&&V.mapping,envMapPMREM:Gt,envMapMaxLod:Gt?At.length-1:null,envMapSize:Gt?At[0].width:null,aoMap:Re,lightMap:ve,bumpMap:Ve,normalMap:ce,displacementMap:Tn,emissiveMap:be,normalMapObjectSpace:ce&&_.normalMapType===$u,normalMapTangentSpace:ce&&_.normalMapType===sc,packedNormalMap:ce&&_.normalMapType===sc&&Oy(_.normalMap.format),metalnessMap:rn,roughnessMap:on,anisotropy:an,anisotropyMap:Nt,clearcoat:N,clearcoatMap:b,clearcoatNormalMap:x,clearcoatRoughnessMap:O,diffuseRoughness:ln,diffuseRoughnessMap:et,dispersion:re,retroreflection:oe,iridescence:dt,iridescenceMap:j,iridescenceThicknessMap:rt,sheen:ye,sheenColorMap:ht,sheenRoughnessMap:q,specularMap:Y,specularColorMap:at,specularIntensityMap:C,transmission:Rt,transmissionMap:J,thicknessMap:H,gradientMap:lt,opaque:_.transparent===!1&&_.blending===ds&&_.alphaToCoverage===!1,alphaMap:st,alphaTest:ot,alphaHash:Tt,combine:_.combine,mapUv:Ct&&f(_.map.channel),aoMapUv:Re&&f(_.aoMap.channel),lightMapUv:ve&&f(_.lightMap.channel),bumpMapUv:Ve&&f(_.bumpMap.channel),normalMapUv:ce&&f(_.normalMap.channel),displacementMapUv:Tn&&f(_.displacementMap.channel),emissiveMapUv:be&&f(_.emissiveMap.channel),metalnessMapUv:rn&&f(_.metalnessMap.channel),roughnessMapUv:on&&f(_.roughnessMap.channel),anisotropyMapUv:Nt&&f(_.anisotropyMap.channel),clearcoatMapUv:b&&f(_.clearcoatMap.channel),clearcoatNormalMapUv:x&&f(_.clearcoatNormalMap.channel),clearcoatRoughnessMapUv:O&&f(_.clearcoatRoughnessMap.channel),diffuseRoughnessMapUv:et&&f(_.diffuseRoughnessMap.channel),iridescenceMapUv:j&&f(_.iridescenceMap.channel),iridescenceThicknessMapUv:rt&&f(_.iridescenceThicknessMap.channel),sheenColorMapUv:ht&&f(_.sheenColorMap.channel),sheenRoughnessMapUv:q&&f(_.sheenRoughnessMap.channel),specularMapUv:Y&&f(_.specularMap.channel),specularColorMapUv:at&&f(_.specularColorMap.channel),specularIntensityMapUv:C&&f(_.specularIntensityMap.channel),transmissionMapUv:J&&f(_.transmissionMap.channel),thicknessMapUv:H&&f(_.thicknessMap.channel),alphaMapUv:st&&f(_.alphaMap.channel),vertexTangents:!!P.attributes.tangent&&(ce||an),vertexNormals:!!P.attributes.normal,vertexColors:_.vertexColors,vertexAlphas:_.vertexColors===!0&&!!P.attributes.color&&P.attributes.color.itemSize===4,pointsUvs:D.isPoints===!0&&!!P.attributes.uv&&(Ct||st),fog:!!$,useFog:_.fog===!0,fogExp2:!!$&&$.isFogExp2,flatShading:_.wireframe===!1&&(_.flatShading===!0||P.attributes.normal===void 0&&ce===!1&&(_.isMeshLambertMaterial||_.isMeshPhongMaterial||_.isMeshStandardMaterial||_.isMeshPhysicalMaterial)),sizeAttenuation:_.sizeAttenuation===!0,logarithmicDepthBuffer:d,reversedDepthBuffer:gt,skinning:D.isSkinnedMesh===!0,hasPositionAttribute:P.attributes.position!==void 0,morphTargets:P.morphAttributes.position!==void 0,morphNormals:P.morphAttributes.normal!==void 0,morphColors:P.morphAttributes.color!==void 0,morphTargetsCount:tt,morphTextureStride:bt,numSunLights:w.sun.length,numDirLights:w.directional.length,numPointLights:w.point.length,numSpotLights:w.spot.length,numSpotLightMaps:w.spotLightMap.length,numRectAreaLights:w.rectArea.length,numHemiLights:w.hemi.length,numSunLightShadows:w.sunShadowMap.length,numDirLightShadows:w.directionalShadowMap.length,numPointLightShadows:w.pointShadowMap.length,numSpotLightShadows:w.spotShadowMap.length,numSpotLightShadowsWithMaps:w.numSpotLightShadowsWithMaps,numLightProbes:w.numLightProbes,numLightProbeGrids:G.filter(ft=>ft.texture!==null).length,numClippingPlanes:r.numPlanes,numClipIntersection:r.numIntersection,dithering:_.dithering,shadowMapEnabled:n.shadowMap.enabled&&B.length>0,shadowMapType:n.shadowMap.type,toneMapping:it,decodeVideoTexture:Ct&&_.map.isVideoTexture===!0&&zt.getTransfer(_.map.colorSpace)===Jt,decodeVideoTextureEmissive:be&&_.emissiveMap.isVideoTexture===!0&&zt.getTransfer(_.emissiveMap.colorSpace)===Jt,premultipliedAlpha:_.premultipliedAlpha,doubleSided:_.side===tn,flipSided:_.side===Ge,useDepthPacking:_.depthPacking>=0,depthPacking:_.depthPacking||0,index0AttributeName:_.index0AttributeName,extensionClipCullDistance:Bt&&_.extensions.clipCullDistance===!0&&e.has("WEBGL_clip_cull_distance"),extensionMultiDraw:(Bt&&_.extensions.multiDraw===!0||me)&&e.has("WEBGL_multi_draw"),rendererExtensionParallelShaderCompile:e.has("KHR_parallel_shader_compile"),customProgramCacheKey:_.customProgramCacheKey()};return Ft.vertexUv1s=l.has(1),Ft.vertexUv2s=l.has(2),Ft.vertexUv3s=l.has(3),l.clear(),Ft}function M(_){let w=[];if(_.shaderID?w.push(_.shaderID):(w.push(_.customVertexShaderID),w.push(_.customFragmentShaderID)),_.defines!==void 0)for(let B in _.defines)w.push(B),w.push(_.defines[B]);return _.isRawShaderMaterial===!1&&(p(w,_),m(w,_),w.push(n.outputColorSpace)),w.push(_.customProgramCacheKey),w.join()}function p(_,w){_.push(w.precision),_.push(w.outputColorSpace),_.push(w.envMapMode),_.push(w.envMapPMREM),_.push(w.envMapMaxLod),_.push(w.envMapSize),_.push(w.mapUv),_.push(w.alphaMapUv),_.push(w.lightMapUv),_.push(w.aoMapUv),_.push(w.bumpMapUv),_.push(w.normalMapUv),_.push(w.displacementMapUv),_.push(w.emissiveMapUv),_.push(w.metalnessMapUv),_.push(w.roughnessMapUv),_.push(w.anisotropyMapUv),_.push(w.clearcoatMapUv),_.push(w.clearcoatNormalMapUv),_.push(w.clearcoatRoughnessMapUv),_.push(w.diffuseRoughnessMapUv),_.push(w.iridescenceMapUv),_.push(w.iridescenceThicknessMapUv),_.push(w.sheenColorMapUv),_.push(w.sheenRoughnessMapUv),_.push(w.specularMapUv),_.push(w.specularColorMapUv),_.push(w.specularIntensityMapUv),_.push(w.transmissionMapUv),_.push(w.thicknessMapUv),_.push(w.combine),_.push(w.fogExp2),_.push(w.sizeAttenuation),_.push(w.morphTargetsCount),_.push(w.numSunLights),_.push(w.numDirLights),_.push(w.numPointLights),_.push(w.numSpotLights),_.push(w.numSpotLightMaps),_.push(w.numHemiLights),_.push(w.numRectAreaLights),_.push(w.numSunLightShadows),_.push(w.numDirLightShadows),_.push(w.numPointLightShadows),_.push(w.numSpotLightShadows),_.push(w.numSpotLightShadowsWithMaps),_.push(w.numLightProbes),_.push(w.numLightProbeGrids),_.push(w.shadowMapType),_.push(w.toneMapping),_.push(w.numClippingPlanes),_.push(w.numClipIntersection),_.push(w.depthPacking)}function m(_,w){o.disableAll(),w.instancing&&o.enable(0),w.instancingColor&&o.enable(1),w.instancingMorph&&o.enable(2),w.matcap&&o.enable(3),w.envMap&&o.enable(4),w.normalMapObjectSpace&&o.enable(5),w.normalMapTangentSpace&&o.enable(6),w.clearcoat&&o.enable(7),w.iridescence&&o.enable(8),w.alphaTest&&o.enable(9),w.vertexColors&&o.enable(10),w.vertexAlphas&&o.enable(11),w.vertexUv1s&&o.enable(12),w.vertexUv2s&&o.enable(13),w.vertexUv3s&&o.enable(14),w.vertexTangents&&o.enable(15),w.anisotropy&&o.enable(16),w.alphaHash&&o.enable(17),w.batching&&o.enable(18),w.dispersion&&o.enable(19),w.retroreflection&&o.enable(24),w.diffuseRoughness&&o.enable(25),w.batchingColor&&o.enable(20),w.gradientMap&&o.enable(21),w.packedNormalMap&&o.enable(22),w.vertexNormals&&o.enable(23),_.push(o.mask),o.disableAll(),w.fog&&o.enable(0),w.useFog&&o.enable(1),w.flatShading&&o.enable(2),w.logarithmicDepthBuffer&&o.enable(3),w.reversedDepthBuffer&&o.enable(4),w.skinning&&o.enable(5),w.morphTargets&&o.enable(6),w.morphNormals&&o.enable(7),w.morphColors&&o.enable(8),w.premultipliedAlpha&&o.enable(9),w.shadowMapEnabled&&o.enable(10),w.doubleSided&&o.enable(11),w.flipSided&&o.enable(12),w.useDepthPacking&&o.enable(13),w.dithering&&o.enable(14),w.transmission&&o.enable(15),w.sheen&&o.enable(16),w.opaque&&o.enable(17),w.pointsUvs&&o.enable(18),w.decodeVideoTexture&&o.enable(19),w.decodeVideoTextureEmissive&&o.enable(20),w.alphaToCoverage&&o.enable(21),w.numLightProbeGrids>0&&o.enable(22),w.hasPositionAttribute&&o.enable(23),_.push(o.mask)}function S(_){let w=u[_.type],B;if(w){let L=On[w];B=ld.clone(L.uniforms)}else B=_.uniforms;return B}function R(_,w){let B=h.get(w);return B!==void 0?++B.usedTimes:(B=new Dy(n,w,_,s),c.push(B),h.set(w,B)),B}function T(_){if(--_.usedTimes===0){let w=c.indexOf(_);c[w]=c[c.length-1],c.pop(),h.delete(_.cacheKey),_.destroy()}}function E(_){a.remove(_)}function A(){a.dispose()}return{getParameters:g,getProgramCacheKey:M,getUniforms:S,acquireProgram:R,releaseProgram:T,releaseShaderCache:E,programs:c,dispose:A}}function By(){let n=new WeakMap;function t(o){return n.has(o)}function e(o){let a=n.get(o);return a===void 0&&(a={},n.set(o,a)),a}function i(o){n.delete(o)}function s(o,a,l){n.get(o)[a]=l}function r(){n=new WeakMap}return{has:t,get:e,remove:i,update:s,dispose:r}}function ky(n,t){return n.groupOrder!==t.groupOrder?n.groupOrder-t.groupOrder:n.renderOrder!==t.renderOrder?n.renderOrder-t.renderOrder:n.material.id!==t.material.id?n.material.id-t.material.id:n.materialVariant!==t.materialVariant?n.materialVariant-t.materialVariant:n.z!==t.z?n.z-t.z:n.id-t.id}function Rd(n,t){return n.groupOrder!==t.groupOrder?n.groupOrder-t.groupOrder:n.renderOrder!==t.renderOrder?n.renderOrder-t.renderOrder:n.z!==t.z?t.z-n.z:n.id-t.id}function Cd(){let n=[],t=0,e=[],i=[],s=[];function r(){t=0,e.length=0,i.length=0,s.length=0}function o(u){let f=0;return u.isInstancedMesh&&(f+=2),u.isSkinnedMesh&&(f+=1),f}function a(u,f,g,M,p,m){let S=n[t];return S===void 0?(S={id:u.id,object:u,geometry:f,material:g,materialVariant:o(u),groupOrder:M,renderOrder:u.renderOrder,z:p,group:m},n[t]=S):(S.id=u.id,S.object=u,S.geometry=f,S.material=g,S.materialVariant=o(u),S.groupOrder=M,S.renderOrder=u.renderOrder,S.z=p,S.group=m),t++,S}function l(u,f,g,M,p,m,S){S.reversedDepth===!0&&(p=-p);let R=a(u,f,g,M,p,m);g.transmission>0?i.push(R):g.transparent===!0?s.push(R):e.push(R)}function c(u,f,g,M,p,m){let S=a(u,f,g,M,p,m);g.transmission>0?i.unshift(S):g.transparent===!0?s.unshift(S):e.unshift(S)}function h(u,f){e.length>1&&e.sort(u||ky),i.length>1&&i.sort(f||Rd),s.length>1&&s.sort(f||Rd)}function d(){for(let u=t,f=n.length;u<f;u++){let g=n[u];if(g.id===null)break;g.id=null,g.object=null,g.geometry=null,g.material=null,g.group=null}}return{opaque:e,transmissive:i,transparent:s,init:r,push:l,unshift:c,finish:d,sort:h}}function zy(){let n=new WeakMap;function t(i,s){let r=n.get(i),o;return r===void 0?(o=new Cd,n.set(i,[o])):s>=r.length?(o=new Cd,r.push(o)):o=r[s],o}function e(){n=new WeakMap}return{get:t,dispose:e}}function Gy(){let n={};return{get:function(t){if(n[t.id]!==void 0)return n[t.id];let e;switch(t.type){case"SunLight":case"DirectionalLight":e={direction:new z,color:new Yt};break;case"SpotLight":e={position:new z,direction:new z,color:new Yt,distance:0,coneCos:0,penumbraCos:0,decay:0};break;case"PointLight":e={position:new z,color:new Yt,distance:0,decay:0};break;case"HemisphereLight":e={direction:new z,skyColor:new Yt,groundColor:new Yt};break;case"RectAreaLight":e={color:new Yt,position:new z,halfWidth:new z,halfHeight:new z};break}return n[t.id]=e,e}}}function Vy(){let n={};return{get:function(t){if(n[t.id]!==void 0)return n[t.id];let e;switch(t.type){case"SunLight":case"DirectionalLight":e={shadowIntensity:1,shadowBias:0,shadowNormalBias:0,shadowRadius:1,shadowMapSize:new Xt};break;case"SpotLight":e={shadowIntensity:1,shadowBias:0,shadowNormalBias:0,shadowRadius:1,shadowMapSize:new Xt};break;case"PointLight":e={shadowIntensity:1,shadowBias:0,shadowNormalBias:0,shadowRadius:1,shadowMapSize:new Xt,shadowCameraNear:1,shadowCameraFar:1e3};break}return n[t.id]=e,e}}}var Hy=0;function Wy(n,t){return(t.castShadow?2:0)-(n.castShadow?2:0)+(t.map?1:0)-(n.map?1:0)}function Xy(n){let t=new Gy,e=Vy(),i={version:0,hash:{sunLength:-1,directionalLength:-1,pointLength:-1,spotLength:-1,rectAreaLength:-1,hemiLength:-1,numSunShadows:-1,numDirectionalShadows:-1,numPointShadows:-1,numSpotShadows:-1,numSpotMaps:-1,numLightProbes:-1},ambient:[0,0,0],probe:[],sun:[],sunShadow:[],sunShadowMap:[],sunShadowMatrix:[],sunShadowCascade:[],directional:[],directionalShadow:[],directionalShadowMap:[],directionalShadowMatrix:[],spot:[],spotLightMap:[],spotShadow:[],spotShadowMap:[],spotLightMatrix:[],rectArea:[],rectAreaLTC1:null,rectAreaLTC2:null,point:[],pointShadow:[],pointShadowMap:[],pointShadowMatrix:[],hemi:[],numSpotLightShadowsWithMaps:0,numLightProbes:0};for(let c=0;c<9;c++)i.probe.push(new z);let s=new z,r=new fe,o=new fe;function a(c){let h=0,d=0,u=0;for(let G=0;G<9;G++)i.probe[G].set(0,0,0);let f=0,g=0,M=0,p=0,m=0,S=0,R=0,T=0,E=0,A=0,_=0,w=0,B=0,L=0;c.sort(Wy);for(let G=0,$=c.length;G<$;G++){let P=c[G],X=P.color,K=P.intensity,V=P.distance,nt=null;if(P.shadow&&P.shadow.map&&(P.shadow.map.texture.format===gi?nt=P.shadow.map.texture:nt=P.shadow.map.depthTexture||P.shadow.map.texture),P.isAmbientLight)h+=X.r*K,d+=X.g*K,u+=X.b*K;else if(P.isLightProbe){for(let W=0;W<9;W++)i.probe[W].addScaledVector(P.sh.coefficients[W],K);L++}else if(P.isSunLight){let W=t.get(P);if(W.color.copy(P.color).multiplyScalar(P.intensity),P.castShadow){let Q=P.shadow,tt=e.get(P);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize.copy(Q.mapSize).multiply(Q.getFrameExtents()),i.sunShadow[g]=tt,i.sunShadowMap[g]=nt;let bt=Q.getViewportCount();for(let Dt=0;Dt<bt;Dt++)i.sunShadowMatrix[M+Dt]=Q.getMatrix(Dt),i.sunShadowCascade[M+Dt]=Q._cascadeData[Dt];M+=bt,g++}i.sun[f]=W,f++}else if(P.isDirectionalLight){let W=t.get(P);if(W.color.copy(P.color).multiplyScalar(P.intensity),P.castShadow){let Q=P.shadow,tt=e.get(P);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize=Q.mapSize,i.directionalShadow[p]=tt,i.directionalShadowMap[p]=nt,i.directionalShadowMatrix[p]=P.shadow.matrix,E++}i.directional[p]=W,p++}else if(P.isSpotLight){let W=t.get(P);W.position.setFromMatrixPosition(P.matrixWorld),W.color.copy(X).multiplyScalar(K),W.distance=V,W.coneCos=Math.cos(P.angle),W.penumbraCos=Math.cos(P.angle*(1-P.penumbra)),W.decay=P.decay,i.spot[S]=W;let Q=P.shadow;if(P.map&&(i.spotLightMap[w]=P.map,w++,Q.updateMatrices(P),P.castShadow&&B++),i.spotLightMatrix[S]=Q.matrix,P.castShadow){let tt=e.get(P);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize=Q.mapSize,i.spotShadow[S]=tt,i.spotShadowMap[S]=nt,_++}S++}else if(P.isRectAreaLight){let W=t.get(P);W.color.copy(X).multiplyScalar(K),W.halfWidth.set(P.width*.5,0,0),W.halfHeight.set(0,P.height*.5,0),i.rectArea[R]=W,R++}else if(P.isPointLight){let W=t.get(P);if(W.color.copy(P.color).multiplyScalar(P.intensity),W.distance=P.distance,W.decay=P.decay,P.castShadow){let Q=P.shadow,tt=e.get(P);tt.shadowIntensity=Q.intensity,tt.shadowBias=Q.bias,tt.shadowNormalBias=Q.normalBias,tt.shadowRadius=Q.radius,tt.shadowMapSize=Q.mapSize,tt.shadowCameraNear=Q.camera.near,tt.shadowCameraFar=Q.camera.far,i.pointShadow[m]=tt,i.pointShadowMap[m]=nt,i.pointShadowMatrix[m]=P.shadow.matrix,A++}i.point[m]=W,m++}else if(P.isHemisphereLight){let W=t.get(P);W.skyColor.copy(P.color).multiplyScalar(K),W.groundColor.copy(P.groundColor).multiplyScalar(K),i.hemi[T]=W,T++}}R>0&&(n.has("OES_texture_float_linear")===!0?(i.rectAreaLTC1=pt.LTC_FLOAT_1,i.rectAreaLTC2=pt.LTC_FLOAT_2):(i.rectAreaLTC1=pt.LTC_HALF_1,i.rectAreaLTC2=pt.LTC_HALF_2)),i.ambient[0]=h,i.ambient[1]=d,i.ambient[2]=u;let D=i.hash;(D.sunLength!==f||D.directionalLength!==p||D.pointLength!==m||D.spotLength!==S||D.rectAreaLength!==R||D.hemiLength!==T||D.numSunShadows!==g||D.numDirectionalShadows!==E||D.numPointShadows!==A||D.numSpotShadows!==_||D.numSpotMaps!==w||D.numLightProbes!==L)&&(i.sun.length=f,i.directional.length=p,i.spot.length=S,i.rectArea.length=R,i.point.length=m,i.hemi.length=T,i.sunShadow.length=g,i.sunShadowMap.length=g,i.sunShadowMatrix.length=M,i.sunShadowCascade.length=M,i.directionalShadow.length=E,i.directionalShadowMap.length=E,i.directionalShadowMatrix.length=E,i.pointShadow.length=A,i.pointShadowMap.length=A,i.pointShadowMatrix.length=A,i.spotShadow.length=_,i.spotShadowMap.length=_,i.spotLightMatrix.length=_+w-B,i.spotLightMap.length=w,i.numSpotLightShadowsWithMaps=B,i.numLightProbes=L,D.sunLength=f,D.directionalLength=p,D.pointLength=m,D.spotLength=S,D.rectAreaLength=R,D.hemiLength=T,D.numSunShadows=g,D.numDirectionalShadows=E,D.numPointShadows=A,D.numSpotShadows=_,D.numSpotMaps=w,D.numLightProbes=L,i.version=Hy++)}function l(c,h){let d=0,u=0,f=0,g=0,M=0,p=0,m=h.matrixWorldInverse;for(let S=0,R=c.length;S<R;S++){let T=c[S];if(T.isSunLight){let E=i.sun[d];E.direction.setFromMatrixPosition(T.matrixWorld),E.direction.transformDirection(m),d++}else if(T.isDirectionalLight){let E=i.directional[u];E.direction.setFromMatrixPosition(T.matrixWorld),s.setFromMatrixPosition(T.target.matrixWorld),E.direction.sub(s),E.direction.transformDirection(m),u++}else if(T.isSpotLight){let E=i.spot[g];E.position.setFromMatrixPosition(T.matrixWorld),E.position.applyMatrix4(m),E.direction.setFromMatrixPosition(T.matrixWorld),s.setFromMatrixPosition(T.target.matrixWorld),E.direction.sub(s),E.direction.transformDirection(m),g++}else if(T.isRectAreaLight){let E=i.rectArea[M];E.position.setFromMatrixPosition(T.matrixWorld),E.position.applyMatrix4(m),o.identity(),r.copy(T.matrixWorld),r.premultiply(m),o.extractRotation(r),E.halfWidth.set(T.width*.5,0,0),E.halfHeight.set(0,T.height*.5,0),E.halfWidth.applyMatrix4(o),E.halfHeight.applyMatrix4(o),M++}else if(T.isPointLight){let E=i.point[f];E.position.setFromMatrixPosition(T.matrixWorld),E.position.applyMatrix4(m),f++}else if(T.isHemisphereLight){let E=i.hemi[p];E.direction.setFromMatrixPosition(T.matrixWorld),E.direction.transformDirection(m),p++}}}return{setup:a,setupView:l,state:i}}function Id(n){let t=new Xy(n),e=[],i=[],s=[];function r(d){h.camera=d,e.length=0,i.length=0,s.length=0}function o(d){d.isLightProbeGrid?s.push(d):e.push(d)}function a(d){i.push(d)}function l(){t.setup(e),s.sort((d,u)=>d.priority-u.priority||d.id-u.id)}function c(d){t.setupView(e,d)}let h={lightsArray:e,shadowsArray:i,lightProbeGridArray:s,camera:null,lights:t,transmissionRenderTarget:{},textureUnits:0};return{init:r,state:h,setupLights:l,setupLightsView:c,pushLight:o,pushShadow:a}}function qy(n){let t=new WeakMap;function e(s,r=0){let o=t.get(s),a;return o===void 0?(a=new Id(n),t.set(s,[a])):r>=o.length?(a=new Id(n),o.push(a)):a=o[r],a}function i(){t=new WeakMap}return{get:e,dispose:i}}var $y=`void main() {
	gl_Position = vec4( position, 1.0 );
}`,Yy=`uniform sampler2D shadow_pass;
uniform vec2 resolution;
uniform float radius;
void main() {
	const float samples = float( VSM_SAMPLES );
	float mean = 0.0;
	float squared_mean = 0.0;
	float uvStride = samples <= 1.0 ? 0.0 : 2.0 / ( samples - 1.0 );
	float uvStart = samples <= 1.0 ? 0.0 : - 1.0;
	for ( float i = 0.0; i < samples; i ++ ) {
		float uvOffset = uvStart + i * uvStride;
		#ifdef HORIZONTAL_PASS
			vec2 distribution = texture2D( shadow_pass, ( gl_FragCoord.xy + vec2( uvOffset, 0.0 ) * radius ) / resolution ).rg;
			mean += distribution.x;
			squared_mean += distribution.y * distribution.y + distribution.x * distribution.x;
		#else
			float depth = texture2D( shadow_pass, ( gl_FragCoord.xy + vec2( 0.0, uvOffset ) * radius ) / resolution ).r;
			mean += depth;
			squared_mean += depth * depth;
		#endif
	}
	mean = mean / samples;
	squared_mean = squared_mean / samples;
	float std_dev = sqrt( max( 0.0, squared_mean - mean * mean ) );
	gl_FragColor = vec4( mean, std_dev, 0.0, 1.0 );
}`,Zy=[new z(1,0,0),new z(-1,0,0),new z(0,1,0),new z(0,-1,0),new z(0,0,1),new z(0,0,-1)],Jy=[new z(0,-1,0),new z(0,-1,0),new z(0,0,1),new z(0,0,-1),new z(0,-1,0),new z(0,-1,0)],Pd=new fe,cr=new z,pc=new z;function Ky(n,t,e){let i=new Ii,s=new Xt,r=new Xt,o=new se,a=new bo,l=new wo,c={},h=e.maxTextureSize,d={[gn]:Ge,[Ge]:gn,[tn]:tn},u=new Nn({defines:{VSM_SAMPLES:8},uniforms:{shadow_pass:{value:null},resolution:{value:new Xt},radius:{value:4}},vertexShader:$y,fragmentShader:Yy}),f=u.clone();f.defines.HORIZONTAL_PASS=1;let g=new Xe;g.setAttribute("position",new de(new Float32Array([-1,-1,.5,3,-1,.5,-1,3,.5]),3));let M=new Oe(g,u),p=this;this.enabled=!1,this.autoUpdate=!0,this.needsUpdate=!1,this.type=er;let m=this.type;this.render=function(A,_,w){if(p.enabled===!1||p.autoUpdate===!1&&p.needsUpdate===!1||A.length===0)return;this.type===wu&&(It("WebGLShadowMap: PCFSoftShadowMap has been removed. Using PCFShadowMap instead."),this.type=er);let B=n.getRenderTarget(),L=n.getActiveCubeFace(),D=n.getActiveMipmapLevel(),G=n.state;G.setBlending(Li),G.buffers.depth.getReversed()===!0?G.buffers.color.setClear(0,0,0,0):G.buffers.color.setClear(1,1,1,1),G.buffers.depth.setTest(!0),G.setScissorTest(!1);let $=m!==this.type;$&&_.traverse(function(P){P.material&&(Array.isArray(P.material)?P.material.forEach(X=>X.needsUpdate=!0):P.material.needsUpdate=!0)});for(let P=0,X=A.length;P<X;P++){let K=A[P],V=K.shadow;if(V===void 0){It("WebGLShadowMap:",K,"has no shadow.");continue}if(V.autoUpdate===!1&&V.needsUpdate===!1)continue;s.copy(V.mapSize);let nt=V.getFrameExtents();s.multiply(nt),r.copy(V.mapSize),(s.x>h||s.y>h)&&(s.x>h&&(r.x=Math.floor(h/nt.x),s.x=r.x*nt.x,V.mapSize.x=r.x),s.y>h&&(r.y=Math.floor(h/nt.y),s.y=r.y*nt.y,V.mapSize.y=r.y));let W=n.state.buffers.depth.getReversed();if(V.camera._reversedDepth=W,V.map===null||$===!0){if(V.map!==null&&(V.map.depthTexture!==null&&(V.map.depthTexture.dispose(),V.map.depthTexture=null),V.map.dispose()),this.type===us){if(K.isPointLight){It("WebGLShadowMap: VSM shadow maps are not supported for PointLights. Use PCF or BasicShadowMap instead.");continue}V.map=new je(s.x,s.y,{format:gi,type:wn,minFilter:ze,magFilter:ze,generateMipmaps:!1}),V.map.texture.name=K.name+".shadowMap",V.map.depthTexture=new Zn(s.x,s.y,nn),V.map.depthTexture.name=K.name+".shadowMapDepth",V.map.depthTexture.format=Yn,V.map.depthTexture.compareFunction=null,V.map.depthTexture.minFilter=pe,V.map.depthTexture.magFilter=pe}else K.isPointLight?(V.map=new ur(s.x),V.map.depthTexture=new Ks(s.x,bn)):(V.map=new je(s.x,s.y),V.map.depthTexture=new Zn(s.x,s.y,bn)),V.map.depthTexture.name=K.name+".shadowMap",V.map.depthTexture.format=Yn,this.type===er?(V.map.depthTexture.compareFunction=W?oc:rc,V.map.depthTexture.minFilter=ze,V.map.depthTexture.magFilter=ze):(V.map.depthTexture.compareFunction=null,V.map.depthTexture.minFilter=pe,V.map.depthTexture.magFilter=pe);V.camera.updateProjectionMatrix()}V.map.isWebGLCubeRenderTarget!==!0&&(V.map.width!==s.x||V.map.height!==s.y)&&V.map.setSize(s.x,s.y);let Q=V.map.isWebGLCubeRenderTarget?6:V.getViewportCount();K.isPointLight!==!0&&V.updateMatrices(K,w);let tt=(V.camera.layers.mask&4294967294)!==0?V.camera.layers:w.layers;for(let bt=0;bt<Q;bt++){let Dt=V.getCamera(bt);if(K.isPointLight){let Z=V.camera,mt=V.matrix,yt=K.distance||Z.far;yt!==Z.far&&(Z.far=yt,Z.updateProjectionMatrix()),cr.setFromMatrixPosition(K.matrixWorld),Z.position.copy(cr),pc.copy(Z.position),pc.add(Zy[bt]),Z.up.copy(Jy[bt]),Z.lookAt(pc),Z.updateMatrixWorld(),mt.makeTranslation(-cr.x,-cr.y,-cr.z),Pd.multiplyMatrices(Z.projectionMatrix,Z.matrixWorldInverse),V._frustum.setFromProjectionMatrix(Pd,Z.coordinateSystem,Z.reversedDepth)}if(V.map.isWebGLCubeRenderTarget)n.setRenderTarget(V.map,bt),n.clear();else{bt===0&&(n.setRenderTarget(V.map),n.clear());let Z=V.getViewport(bt);o.set(r.x*Z.x,r.y*Z.y,r.x*Z.z,r.y*Z.w),G.viewport(o)}i=V.getFrustum(bt),T(_,w,Dt,K,tt,this.type)}V.isPointLightShadow!==!0&&this.type===us&&S(V,w),V.needsUpdate=!1}m=this.type,p.needsUpdate=!1,n.setRenderTarget(B,L,D)};function S(A,_){let w=t.update(M);u.defines.VSM_SAMPLES!==A.blurSamples&&(u.defines.VSM_SAMPLES=A.blurSamples,f.defines.VSM_SAMPLES=A.blurSamples,u.needsUpdate=!0,f.needsUpdate=!0),A.mapPass===null?A.mapPass=new je(s.x,s.y,{format:gi,type:wn}):(A.mapPass.width!==A.map.width||A.mapPass.height!==A.map.height)&&A.mapPass.setSize(A.map.width,A.map.height),u.uniforms.shadow_pass.value=A.map.depthTexture,u.uniforms.resolution.value.set(A.map.width,A.map.height),u.uniforms.radius.value=A.radius,n.setRenderTarget(A.mapPass),n.clear(),n.renderBufferDirect(_,null,w,u,M,null),f.uniforms.shadow_pass.value=A.mapPass.texture,f.uniforms.resolution.value.set(A.map.width,A.map.height),f.uniforms.radius.value=A.radius,n.setRenderTarget(A.map),n.clear(),n.renderBufferDirect(_,null,w,f,M,null)}function R(A,_,w,B){let L=null,D=w.isPointLight===!0?A.customDistanceMaterial:A.customDepthMaterial;if(D!==void 0)L=D;else if(L=w.isPointLight===!0?l:a,n.localClippingEnabled&&_.clipShadows===!0&&Array.isArray(_.clippingPlanes)&&_.clippingPlanes.length!==0||_.displacementMap&&_.displacementScale!==0||_.alphaMap&&_.alphaTest>0||_.map&&_.alphaTest>0||_.alphaToCoverage===!0){let G=L.uuid,$=_.uuid,P=c[G];P===void 0&&(P={},c[G]=P);let X=P[$];X===void 0&&(X=L.clone(),P[$]=X,_.addEventListener("dispose",E)),L=X}if(L.visible=_.visible,L.wireframe=_.wireframe,B===us?L.side=_.shadowSide!==null?_.shadowSide:_.side:L.side=_.shadowSide!==null?_.shadowSide:d[_.side],L.alphaMap=_.alphaMap,L.alphaTest=_.alphaToCoverage===!0?.5:_.alphaTest,L.map=_.map,L.clipShadows=_.clipShadows,L.clippingPlanes=_.clippingPlanes,L.clipIntersection=_.clipIntersection,L.displacementMap=_.displacementMap,L.displacementScale=_.displacementScale,L.displacementBias=_.displacementBias,L.wireframeLinewidth=_.wireframeLinewidth,L.linewidth=_.linewidth,w.isPointLight===!0&&L.isMeshDistanceMaterial===!0){let G=n.properties.get(L);G.light=w}return L}function T(A,_,w,B,L,D){if(A.visible===!1)return;if(A.layers.test(L)&&(A.isMesh||A.isLine||A.isPoints)&&(A.castShadow||A.receiveShadow&&D===us)&&(!A.frustumCulled||A.intersectsFrustum(i))){A.modelViewMatrix.multiplyMatrices(w.matrixWorldInverse,A.matrixWorld);let P=t.update(A),X=A.material;if(Array.isArray(X)){let K=P.groups;for(let V=0,nt=K.length;V<nt;V++){let W=K[V],Q=X[W.materialIndex];if(Q&&Q.visible){let tt=R(A,Q,B,D);A.onBeforeShadow(n,A,_,w,P,tt,W),n.renderBufferDirect(w,null,P,tt,A,W),A.onAfterShadow(n,A,_,w,P,tt,W)}}}else if(X.visible){let K=R(A,X,B,D);A.onBeforeShadow(n,A,_,w,P,K,null),n.renderBufferDirect(w,null,P,K,A,null),A.onAfterShadow(n,A,_,w,P,K,null)}}let $=A.children;for(let P=0,X=$.length;P<X;P++)T($[P],_,w,B,L,D)}function E(A){A.target.removeEventListener("dispose",E);for(let w in c){let B=c[w],L=A.target.uuid;L in B&&(B[L].dispose(),delete B[L])}}}function jy(n,t){function e(){let C=!1,J=new se,H=null,lt=new se(0,0,0,0);return{setMask:function(st){H!==st&&!C&&(n.colorMask(st,st,st,st),H=st)},setLocked:function(st){C=st},setClear:function(st,ot,Tt,Bt,it){it===!0&&(st*=Bt,ot*=Bt,Tt*=Bt),J.set(st,ot,Tt,Bt),lt.equals(J)===!1&&(n.clearColor(st,ot,Tt,Bt),lt.copy(J))},reset:function(){C=!1,H=null,lt.set(-1,0,0,0)}}}function i(){let C=!1,J=!1,H=null,lt=null,st=null;return{setReversed:function(ot){if(J!==ot){let Tt=t.get("EXT_clip_control");ot?Tt.clipControlEXT(Tt.LOWER_LEFT_EXT,Tt.ZERO_TO_ONE_EXT):Tt.clipControlEXT(Tt.LOWER_LEFT_EXT,Tt.NEGATIVE_ONE_TO_ONE_EXT),J=ot;let Bt=st;st=null,this.setClear(Bt)}},getReversed:function(){return J},setTest:function(ot){ot?gt(n.DEPTH_TEST):Ot(n.DEPTH_TEST)},setMask:function(ot){H!==ot&&!C&&(n.depthMask(ot),H=ot)},setFunc:function(ot){if(J&&(ot=id[ot]),lt!==ot){switch(ot){case ro:n.depthFunc(n.NEVER);break;case oo:n.depthFunc(n.ALWAYS);break;case ao:n.depthFunc(n.LESS);break;case is:n.depthFunc(n.LEQUAL);break;case lo:n.depthFunc(n.EQUAL);break;case co:n.depthFunc(n.GEQUAL);break;case ho:n.depthFunc(n.GREATER);break;case uo:n.depthFunc(n.NOTEQUAL);break;default:n.depthFunc(n.LEQUAL)}lt=ot}},setLocked:function(ot){C=ot},setClear:function(ot){st!==ot&&(st=ot,J&&(ot=1-ot),n.clearDepth(ot))},reset:function(){C=!1,H=null,lt=null,st=null,J=!1}}}function s(){let C=!1,J=null,H=null,lt=null,st=null,ot=null,Tt=null,Bt=null,it=null;return{setTest:function(At){C||(At?gt(n.STENCIL_TEST):Ot(n.STENCIL_TEST))},setMask:function(At){J!==At&&!C&&(n.stencilMask(At),J=At)},setFunc:function(At,Ft,ft){(H!==At||lt!==Ft||st!==ft)&&(n.stencilFunc(At,Ft,ft),H=At,lt=Ft,st=ft)},setOp:function(At,Ft,ft){(ot!==At||Tt!==Ft||Bt!==ft)&&(n.stencilOp(At,Ft,ft),ot=At,Tt=Ft,Bt=ft)},setLocked:function(At){C=At},setClear:function(At){it!==At&&(n.clearStencil(At),it=At)},reset:function(){C=!1,J=null,H=null,lt=null,st=null,ot=null,Tt=null,Bt=null,it=null}}}let r=new e,o=new i,a=new s,l={},c=new WeakMap,h={},d={},u={},f=new WeakMap,g=[],M=null,p=!1,m=null,S=null,R=null,T=null,E=null,A=null,_=null,w=new Yt(0,0,0),B=0,L=!1,D=null,G=null,$=null,P=null,X=null,K=n.getParameter(n.MAX_COMBINED_TEXTURE_IMAGE_UNITS),V=!1,nt=0,W=n.getParameter(n.VERSION);W.indexOf("WebGL")!==-1?(nt=parseFloat(/^WebGL (\d)/.exec(W)[1]),V=nt>=1):W.indexOf("OpenGL ES")!==-1&&(nt=parseFloat(/^OpenGL ES (\d)/.exec(W)[1]),V=nt>=2);let Q=null,tt={},bt=n.getParameter(n.SCISSOR_BOX),Dt=n.getParameter(n.VIEWPORT),Z=new se().fromArray(bt),mt=new se().fromArray(Dt);function yt(C,J,H,lt){let st=new Uint8Array(4),ot=n.createTexture();n.bindTexture(C,ot),n.texParameteri(C,n.TEXTURE_MIN_FILTER,n.NEAREST),n.texParameteri(C,n.TEXTURE_MAG_FILTER,n.NEAREST);for(let Tt=0;Tt<H;Tt++)C===n.TEXTURE_3D||C===n.TEXTURE_2D_ARRAY?n.texImage3D(J,0,n.RGBA,1,1,lt,0,n.RGBA,n.UNSIGNED_BYTE,st):n.texImage2D(J+Tt,0,n.RGBA,1,1,0,n.RGBA,n.UNSIGNED_BYTE,st);return ot}let Et={};Et[n.TEXTURE_2D]=yt(n.TEXTURE_2D,n.TEXTURE_2D,1),Et[n.TEXTURE_CUBE_MAP]=yt(n.TEXTURE_CUBE_MAP,n.TEXTURE_CUBE_MAP_POSITIVE_X,6),Et[n.TEXTURE_2D_ARRAY]=yt(n.TEXTURE_2D_ARRAY,n.TEXTURE_2D_ARRAY,1,1),Et[n.TEXTURE_3D]=yt(n.TEXTURE_3D,n.TEXTURE_3D,1,1),r.setClear(0,0,0,1),o.setClear(1),a.setClear(0),gt(n.DEPTH_TEST),o.setFunc(is),Ve(!1),ce(Ol),gt(n.CULL_FACE),Re(Li);function gt(C){h[C]!==!0&&(n.enable(C),h[C]=!0)}function Ot(C){h[C]!==!1&&(n.disable(C),h[C]=!1)}function me(C,J){return u[C]!==J?(n.bindFramebuffer(C,J),u[C]=J,C===n.DRAW_FRAMEBUFFER&&(u[n.FRAMEBUFFER]=J),C===n.FRAMEBUFFER&&(u[n.DRAW_FRAMEBUFFER]=J),!0):!1}function Ct(C,J){let H=g,lt=!1;if(C){H=f.get(J),H===void 0&&(H=[],f.set(J,H));let st=C.textures;if(H.length!==st.length||H[0]!==n.COLOR_ATTACHMENT0){for(let ot=0,Tt=st.length;ot<Tt;ot++)H[ot]=n.COLOR_ATTACHMENT0+ot;H.length=st.length,lt=!0}}else H[0]!==n.BACK&&(H[0]=n.BACK,lt=!0);lt&&n.drawBuffers(H)}function Kt(C){return M!==C?(n.useProgram(C),M=C,!0):!1}let te={[Ni]:n.FUNC_ADD,[Au]:n.FUNC_SUBTRACT,[Eu]:n.FUNC_REVERSE_SUBTRACT};te[Ru]=n.MIN,te[Cu]=n.MAX;let Gt={[Iu]:n.ZERO,[Pu]:n.ONE,[Lu]:n.SRC_COLOR,[zl]:n.SRC_ALPHA,[Bu]:n.SRC_ALPHA_SATURATE,[Ou]:n.DST_COLOR,[Du]:n.DST_ALPHA,[Nu]:n.ONE_MINUS_SRC_COLOR,[Gl]:n.ONE_MINUS_SRC_ALPHA,[Fu]:n.ONE_MINUS_DST_COLOR,[Uu]:n.ONE_MINUS_DST_ALPHA,[ku]:n.CONSTANT_COLOR,[zu]:n.ONE_MINUS_CONSTANT_COLOR,[Gu]:n.CONSTANT_ALPHA,[Vu]:n.ONE_MINUS_CONSTANT_ALPHA};function Re(C,J,H,lt,st,ot,Tt,Bt,it,At){if(C===Li){p===!0&&(Ot(n.BLEND),p=!1);return}if(p===!1&&(gt(n.BLEND),p=!0),C!==Tu){if(C!==m||At!==L){if((S!==Ni||E!==Ni)&&(n.blendEquation(n.FUNC_ADD),S=Ni,E=Ni),At)switch(C){case ds:n.blendFuncSeparate(n.ONE,n.ONE_MINUS_SRC_ALPHA,n.ONE,n.ONE_MINUS_SRC_ALPHA);break;case Fl:n.blendFunc(n.ONE,n.ONE);break;case Bl:n.blendFuncSeparate(n.ZERO,n.ONE_MINUS_SRC_COLOR,n.ZERO,n.ONE);break;case kl:n.blendFuncSeparate(n.DST_COLOR,n.ONE_MINUS_SRC_ALPHA,n.ZERO,n.ONE);break;default:Pt("WebGLState: Invalid blending: ",C);break}else switch(C){case ds:n.blendFuncSeparate(n.SRC_ALPHA,n.ONE_MINUS_SRC_ALPHA,n.ONE,n.ONE_MINUS_SRC_ALPHA);break;case Fl:n.blendFuncSeparate(n.SRC_ALPHA,n.ONE,n.ONE,n.ONE);break;case Bl:Pt("WebGLState: SubtractiveBlending requires material.premultipliedAlpha = true");break;case kl:Pt("WebGLState: MultiplyBlending requires material.premultipliedAlpha = true");break;default:Pt("WebGLState: Invalid blending: ",C);break}R=null,T=null,A=null,_=null,w.set(0,0,0),B=0,m=C,L=At}return}st=st||J,ot=ot||H,Tt=Tt||lt,(J!==S||st!==E)&&(n.blendEquationSeparate(te[J],te[st]),S=J,E=st),(H!==R||lt!==T||ot!==A||Tt!==_)&&(n.blendFuncSeparate(Gt[H],Gt[lt],Gt[ot],Gt[Tt]),R=H,T=lt,A=ot,_=Tt),(Bt.equals(w)===!1||it!==B)&&(n.blendColor(Bt.r,Bt.g,Bt.b,it),w.copy(Bt),B=it),m=C,L=!1}function ve(C,J){C.side===tn?Ot(n.CULL_FACE):gt(n.CULL_FACE);let H=C.side===Ge;J&&(H=!H),Ve(H),C.blending===ds&&C.transparent===!1?Re(Li):Re(C.blending,C.blendEquation,C.blendSrc,C.blendDst,C.blendEquationAlpha,C.blendSrcAlpha,C.blendDstAlpha,C.blendColor,C.blendAlpha,C.premultipliedAlpha),o.setFunc(C.depthFunc),o.setTest(C.depthTest),o.setMask(C.depthWrite),r.setMask(C.colorWrite);let lt=C.stencilWrite;a.setTest(lt),lt&&(a.setMask(C.stencilWriteMask),a.setFunc(C.stencilFunc,C.stencilRef,C.stencilFuncMask),a.setOp(C.stencilFail,C.stencilZFail,C.stencilZPass)),be(C.polygonOffset,C.polygonOffsetFactor,C.polygonOffsetUnits),C.alphaToCoverage===!0?gt(n.SAMPLE_ALPHA_TO_COVERAGE):Ot(n.SAMPLE_ALPHA_TO_COVERAGE)}function Ve(C){D!==C&&(C?n.frontFace(n.CW):n.frontFace(n.CCW),D=C)}function ce(C){C!==Su?(gt(n.CULL_FACE),C!==G&&(C===Ol?n.cullFace(n.BACK):C===bu?n.cullFace(n.FRONT):n.cullFace(n.FRONT_AND_BACK))):Ot(n.CULL_FACE),G=C}function Tn(C){C!==$&&(V&&n.lineWidth(C),$=C)}function be(C,J,H){C?(gt(n.POLYGON_OFFSET_FILL),(P!==J||X!==H)&&(P=J,X=H,o.getReversed()&&(J=-J,H=-H),n.polygonOffset(J,H))):Ot(n.POLYGON_OFFSET_FILL)}function rn(C){C?gt(n.SCISSOR_TEST):Ot(n.SCISSOR_TEST)}function on(C){C===void 0&&(C=n.TEXTURE0+K-1),Q!==C&&(n.activeTexture(C),Q=C)}function an(C,J,H){H===void 0&&(Q===null?H=n.TEXTURE0+K-1:H=Q);let lt=tt[H];lt===void 0&&(lt={type:void 0,texture:void 0},tt[H]=lt),(lt.type!==C||lt.texture!==J)&&(Q!==H&&(n.activeTexture(H),Q=H),n.bindTexture(C,J||Et[C]),lt.type=C,lt.texture=J)}function N(){let C=tt[Q];C!==void 0&&C.type!==void 0&&(n.bindTexture(C.type,null),C.type=void 0,C.texture=void 0)}function ln(){try{n.compressedTexImage2D(...arguments)}catch(C){Pt("WebGLState:",C)}}function re(){try{n.compressedTexImage3D(...arguments)}catch(C){Pt("WebGLState:",C)}}function oe(){try{n.texSubImage2D(...arguments)}catch(C){Pt("WebGLState:",C)}}function dt(){try{n.texSubImage3D(...arguments)}catch(C){Pt("WebGLState:",C)}}function ye(){try{n.compressedTexSubImage2D(...arguments)}catch(C){Pt("WebGLState:",C)}}function Rt(){try{n.compressedTexSubImage3D(...arguments)}catch(C){Pt("WebGLState:",C)}}function Nt(){try{n.texStorage2D(...arguments)}catch(C){Pt("WebGLState:",C)}}function b(){try{n.texStorage3D(...arguments)}catch(C){Pt("WebGLState:",C)}}function x(){try{n.texImage2D(...arguments)}catch(C){Pt("WebGLState:",C)}}function O(){try{n.texImage3D(...arguments)}catch(C){Pt("WebGLState:",C)}}function et(C){return d[C]!==void 0?d[C]:n.getParameter(C)}function j(C,J){d[C]!==J&&(n.pixelStorei(C,J),d[C]=J)}function rt(C){Z.equals(C)===!1&&(n.scissor(C.x,C.y,C.z,C.w),Z.copy(C))}function ht(C){mt.equals(C)===!1&&(n.viewport(C.x,C.y,C.z,C.w),mt.copy(C))}function q(C,J){let H=c.get(J);H===void 0&&(H=new WeakMap,c.set(J,H));let lt=H.get(C);lt===void 0&&(lt=n.getUniformBlockIndex(J,C.name),n.uniformBlockBinding(J,lt,lt),H.set(C,lt))}function Y(C,J,H){let st=c.get(J).get(C);l[st]!==H&&(n.bindBufferBase(n.UNIFORM_BUFFER,st,H),l[st]=H)}function at(){n.disable(n.BLEND),n.disable(n.CULL_FACE),n.disable(n.DEPTH_TEST),n.disable(n.POLYGON_OFFSET_FILL),n.disable(n.SCISSOR_TEST),n.disable(n.STENCIL_TEST),n.disable(n.SAMPLE_ALPHA_TO_COVERAGE),n.blendEquation(n.FUNC_ADD),n.blendFunc(n.ONE,n.ZERO),n.blendFuncSeparate(n.ONE,n.ZERO,n.ONE,n.ZERO),n.blendColor(0,0,0,0),n.colorMask(!0,!0,!0,!0),n.clearColor(0,0,0,0),n.depthMask(!0),n.depthFunc(n.LESS),o.setReversed(!1),n.clearDepth(1),n.stencilMask(4294967295),n.stencilFunc(n.ALWAYS,0,4294967295),n.stencilOp(n.KEEP,n.KEEP,n.KEEP),n.clearStencil(0),n.cullFace(n.BACK),n.frontFace(n.CCW),n.polygonOffset(0,0),n.activeTexture(n.TEXTURE0),n.bindFramebuffer(n.FRAMEBUFFER,null),n.bindFramebuffer(n.DRAW_FRAMEBUFFER,null),n.bindFramebuffer(n.READ_FRAMEBUFFER,null),n.useProgram(null),n.lineWidth(1),n.scissor(0,0,n.canvas.width,n.canvas.height),n.viewport(0,0,n.canvas.width,n.canvas.height),n.pixelStorei(n.PACK_ALIGNMENT,4),n.pixelStorei(n.UNPACK_ALIGNMENT,4),n.pixelStorei(n.UNPACK_FLIP_Y_WEBGL,!1),n.pixelStorei(n.UNPACK_PREMULTIPLY_ALPHA_WEBGL,!1),n.pixelStorei(n.UNPACK_COLORSPACE_CONVERSION_WEBGL,n.BROWSER_DEFAULT_WEBGL),n.pixelStorei(n.PACK_ROW_LENGTH,0),n.pixelStorei(n.PACK_SKIP_PIXELS,0),n.pixelStorei(n.PACK_SKIP_ROWS,0),n.pixelStorei(n.UNPACK_ROW_LENGTH,0),n.pixelStorei(n.UNPACK_IMAGE_HEIGHT,0),n.pixelStorei(n.UNPACK_SKIP_PIXELS,0),n.pixelStorei(n.UNPACK_SKIP_ROWS,0),n.pixelStorei(n.UNPACK_SKIP_IMAGES,0),h={},d={},Q=null,tt={},u={},l={},f=new WeakMap,g=[],M=null,p=!1,m=null,S=null,R=null,T=null,E=null,A=null,_=null,w=new Yt(0,0,0),B=0,L=!1,D=null,G=null,$=null,P=null,X=null,Z.set(0,0,n.canvas.width,n.canvas.height),mt.set(0,0,n.canvas.width,n.canvas.height),r.reset(),o.reset(),a.reset()}return{buffers:{color:r,depth:o,stencil:a},enable:gt,disable:Ot,bindFramebuffer:me,drawBuffers:Ct,useProgram:Kt,setBlending:Re,setMaterial:ve,setFlipSided:Ve,setCullFace:ce,setLineWidth:Tn,setPolygonOffset:be,setScissorTest:rn,activeTexture:on,bindTexture:an,unbindTexture:N,compressedTexImage2D:ln,compressedTexImage3D:re,texImage2D:x,texImage3D:O,pixelStorei:j,getParameter:et,updateUBOMapping:q,uniformBlockBinding:Y,texStorage2D:Nt,texStorage3D:b,texSubImage2D:oe,texSubImage3D:dt,compressedTexSubImage2D:ye,compressedTexSubImage3D:Rt,scissor:rt,viewport:ht,reset:at}}function Qy(n,t,e,i,s,r,o){let a=t.has("WEBGL_multisampled_render_to_texture")?t.get("WEBGL_multisampled_render_to_texture"):null,l=typeof navigator>"u"?!1:/OculusBrowser/g.test(navigator.userAgent),c=new Xt,h=new WeakMap,d=new Set,u,f=new WeakMap,g=new Set,M=new FinalizationRegistry(b=>g.delete(b)),p=!1;try{p=typeof OffscreenCanvas<"u"&&new OffscreenCanvas(1,1).getContext("2d")!==null}catch{}function m(b,x){return p?new OffscreenCanvas(b,x):Vs("canvas")}function S(b,x,O){let et=1,j=Nt(b);if((j.width>O||j.height>O)&&(et=O/Math.max(j.width,j.height)),et<1)if(typeof HTMLImageElement<"u"&&b instanceof HTMLImageElement||typeof HTMLCanvasElement<"u"&&b instanceof HTMLCanvasElement||typeof ImageBitmap<"u"&&b instanceof ImageBitmap||typeof VideoFrame<"u"&&b instanceof VideoFrame){let rt=Math.floor(et*j.width),ht=Math.floor(et*j.height);u===void 0&&(u=m(rt,ht));let q=x?m(rt,ht):u;return q.width=rt,q.height=ht,q.getContext("2d").drawImage(b,0,0,rt,ht),It("WebGLRenderer: Texture has been resized from ("+j.width+"x"+j.height+") to ("+rt+"x"+ht+")."),q}else return"data"in b&&It("WebGLRenderer: Image in DataTexture is too big ("+j.width+"x"+j.height+")."),b;return b}function R(b){return b.generateMipmaps}function T(b){n.generateMipmap(b)}function E(b){return b.isWebGLCubeRenderTarget?n.TEXTURE_CUBE_MAP:b.isWebGL3DRenderTarget?n.TEXTURE_3D:b.isWebGLArrayRenderTarget||b.isCompressedArrayTexture?n.TEXTURE_2D_ARRAY:n.TEXTURE_2D}function A(b,x,O,et,j,rt=!1){if(b!==null){if(n[b]!==void 0)return n[b];It("WebGLRenderer: Attempt to use non-existing WebGL internal format '"+b+"'")}let ht;et&&(ht=t.get("EXT_texture_norm16"),ht||It("WebGLRenderer: Unable to use normalized textures without EXT_texture_norm16 extension"));let q=x;if(x===n.RED&&(O===n.FLOAT&&(q=n.R32F),O===n.HALF_FLOAT&&(q=n.R16F),O===n.UNSIGNED_BYTE&&(q=n.R8),O===n.UNSIGNED_SHORT&&ht&&(q=ht.R16_EXT),O===n.SHORT&&ht&&(q=ht.R16_SNORM_EXT)),x===n.RED_INTEGER&&(O===n.UNSIGNED_BYTE&&(q=n.R8UI),O===n.UNSIGNED_SHORT&&(q=n.R16UI),O===n.UNSIGNED_INT&&(q=n.R32UI),O===n.BYTE&&(q=n.R8I),O===n.SHORT&&(q=n.R16I),O===n.INT&&(q=n.R32I)),x===n.RG&&(O===n.FLOAT&&(q=n.RG32F),O===n.HALF_FLOAT&&(q=n.RG16F),O===n.UNSIGNED_BYTE&&(q=n.RG8),O===n.UNSIGNED_SHORT&&ht&&(q=ht.RG16_EXT),O===n.SHORT&&ht&&(q=ht.RG16_SNORM_EXT)),x===n.RG_INTEGER&&(O===n.UNSIGNED_BYTE&&(q=n.RG8UI),O===n.UNSIGNED_SHORT&&(q=n.RG16UI),O===n.UNSIGNED_INT&&(q=n.RG32UI),O===n.BYTE&&(q=n.RG8I),O===n.SHORT&&(q=n.RG16I),O===n.INT&&(q=n.RG32I)),x===n.RGB_INTEGER&&(O===n.UNSIGNED_BYTE&&(q=n.RGB8UI),O===n.UNSIGNED_SHORT&&(q=n.RGB16UI),O===n.UNSIGNED_INT&&(q=n.RGB32UI),O===n.BYTE&&(q=n.RGB8I),O===n.SHORT&&(q=n.RGB16I),O===n.INT&&(q=n.RGB32I)),x===n.RGBA_INTEGER&&(O===n.UNSIGNED_BYTE&&(q=n.RGBA8UI),O===n.UNSIGNED_SHORT&&(q=n.RGBA16UI),O===n.UNSIGNED_INT&&(q=n.RGBA32UI),O===n.BYTE&&(q=n.RGBA8I),O===n.SHORT&&(q=n.RGBA16I),O===n.INT&&(q=n.RGBA32I)),x===n.RGB&&(O===n.UNSIGNED_SHORT&&ht&&(q=ht.RGB16_EXT),O===n.SHORT&&ht&&(q=ht.RGB16_SNORM_EXT),O===n.UNSIGNED_INT_5_9_9_9_REV&&(q=n.RGB9_E5),O===n.UNSIGNED_INT_10F_11F_11F_REV&&(q=n.R11F_G11F_B10F)),x===n.RGBA){let Y=rt?zs:zt.getTransfer(j);O===n.FLOAT&&(q=n.RGBA32F),O===n.HALF_FLOAT&&(q=n.RGBA16F),O===n.UNSIGNED_BYTE&&(q=Y===Jt?n.SRGB8_ALPHA8:n.RGBA8),O===n.UNSIGNED_SHORT&&ht&&(q=ht.RGBA16_EXT),O===n.SHORT&&ht&&(q=ht.RGBA16_SNORM_EXT),O===n.UNSIGNED_SHORT_4_4_4_4&&(q=n.RGBA4),O===n.UNSIGNED_SHORT_5_5_5_1&&(q=n.RGB5_A1)}return(q===n.R16F||q===n.R32F||q===n.RG16F||q===n.RG32F||q===n.RGBA16F||q===n.RGBA32F)&&t.get("EXT_color_buffer_float"),q}function _(b,x){let O;return b?x===null||x===bn||x===Ui?O=n.DEPTH24_STENCIL8:x===nn?O=n.DEPTH32F_STENCIL8:x===ps&&(O=n.DEPTH24_STENCIL8,It("DepthTexture: 16 bit depth attachment is not supported with stencil. Using 24-bit attachment.")):x===null||x===bn||x===Ui?O=n.DEPTH_COMPONENT24:x===nn?O=n.DEPTH_COMPONENT32F:x===ps&&(O=n.DEPTH_COMPONENT16),O}function w(b,x){return R(b)===!0||b.isFramebufferTexture&&b.minFilter!==pe&&b.minFilter!==ze?Math.log2(Math.max(x.width,x.height))+1:b.mipmaps.length>0?b.mipmaps.length:b.isCompressedTexture&&Array.isArray(b.image)?x.mipmaps.length:1}function B(b){let x=new WeakRef(b);i.get(b).__ref=x,g.add(x),M.register(b,x,x)}function L(b){let x=i.get(b).__ref;x!==void 0&&(g.delete(x),M.unregister(x))}function D(b){$(b.target)}function G(b){P(b.target)}function $(b){b.removeEventListener("dispose",D),L(b),K(b),b.isVideoTexture&&h.delete(b),b.isHTMLTexture&&d.delete(b)}function P(b){b.removeEventListener("dispose",G),L(b),nt(b)}function X(){for(let b of g){let x=b.deref();x!==void 0&&(x.isRenderTarget===!0?P(x):$(x))}g.clear(),d.clear()}function K(b){let x=i.get(b);if(x.__webglInit===void 0)return;let O=b.source,et=f.get(O);if(et){let j=et[x.__cacheKey];j.usedTimes--,j.usedTimes===0&&V(b),Object.keys(et).length===0&&f.delete(O)}i.remove(b)}function V(b){let x=i.get(b);n.deleteTexture(x.__webglTexture);let O=b.source,et=f.get(O);delete et[x.__cacheKey],o.memory.textures--}function nt(b){let x=i.get(b);x.__depthDisposeCallback&&x.__depthDisposeCallback();let O=b.depthTexture;if(O&&O.renderTarget===b&&$(O),b.isWebGLCubeRenderTarget)for(let j=0;j<6;j++){if(Array.isArray(x.__webglFramebuffer[j]))for(let rt=0;rt<x.__webglFramebuffer[j].length;rt++)n.deleteFramebuffer(x.__webglFramebuffer[j][rt]);else n.deleteFramebuffer(x.__webglFramebuffer[j]);x.__webglDepthbuffer&&n.deleteRenderbuffer(x.__webglDepthbuffer[j])}else{if(Array.isArray(x.__webglFramebuffer))for(let j=0;j<x.__webglFramebuffer.length;j++)n.deleteFramebuffer(x.__webglFramebuffer[j]);else n.deleteFramebuffer(x.__webglFramebuffer);if(x.__webglDepthbuffer&&n.deleteRenderbuffer(x.__webglDepthbuffer),x.__webglMultisampledFramebuffer&&n.deleteFramebuffer(x.__webglMultisampledFramebuffer),x.__webglColorRenderbuffer)for(let j=0;j<x.__webglColorRenderbuffer.length;j++)x.__webglColorRenderbuffer[j]&&n.deleteRenderbuffer(x.__webglColorRenderbuffer[j]);x.__webglDepthRenderbuffer&&n.deleteRenderbuffer(x.__webglDepthRenderbuffer)}let et=b.textures;for(let j=0,rt=et.length;j<rt;j++){let ht=i.get(et[j]);ht.__webglTexture&&(n.deleteTexture(ht.__webglTexture),o.memory.textures--),i.remove(et[j])}i.remove(b)}let W=0;function Q(){W=0}function tt(){return W}function bt(b){W=b}function Dt(){let b=W;return b>=s.maxTextures&&It("WebGLTextures: Trying to use "+(b+1)+" texture units while this GPU supports only "+s.maxTextures),W+=1,b}function Z(b){let x=[];return x.push(b.wrapS),x.push(b.wrapT),x.push(b.wrapR||0),x.push(b.magFilter),x.push(b.minFilter),x.push(b.anisotropy),x.push(b.internalFormat),x.push(b.format),x.push(b.type),x.push(b.generateMipmaps),x.push(b.mipmapsAutoUpdate),x.push(b.premultiplyAlpha),x.push(b.flipY),x.push(b.unpackAlignment),x.push(b.colorSpace),x.join()}function mt(b,x){let O=i.get(b);if(b.isVideoTexture&&ye(b),b.isRenderTargetTexture===!1&&b.isExternalTexture!==!0&&b.version>0&&O.__version!==b.version){let et=b.image;if(et===null)It("WebGLRenderer: Texture marked for update but no image data found.");else if(et.complete===!1)It("WebGLRenderer: Texture marked for update but image is incomplete");else{ve(O,b,x);return}}else b.isExternalTexture&&(O.__webglTexture=b.sourceTexture?b.sourceTexture:null);e.bindTexture(n.TEXTURE_2D,O.__webglTexture,n.TEXTURE0+x)}function yt(b,x){let O=i.get(b);if(b.isRenderTargetTexture===!1&&b.version>0&&O.__version!==b.version){ve(O,b,x);return}else b.isExternalTexture&&(O.__webglTexture=b.sourceTexture?b.sourceTexture:null);e.bindTexture(n.TEXTURE_2D_ARRAY,O.__webglTexture,n.TEXTURE0+x)}function Et(b,x){let O=i.get(b);if(b.isRenderTargetTexture===!1&&b.version>0&&O.__version!==b.version){ve(O,b,x);return}e.bindTexture(n.TEXTURE_3D,O.__webglTexture,n.TEXTURE0+x)}function gt(b,x){let O=i.get(b);if(b.version>0&&O.__version!==b.version){Ve(O,b,x);return}e.bindTexture(n.TEXTURE_CUBE_MAP,O.__webglTexture,n.TEXTURE0+x)}let Ot={[fo]:n.REPEAT,[In]:n.CLAMP_TO_EDGE,[po]:n.MIRRORED_REPEAT},me={[pe]:n.NEAREST,[Xu]:n.NEAREST_MIPMAP_NEAREST,[nr]:n.NEAREST_MIPMAP_LINEAR,[ze]:n.LINEAR,[ko]:n.LINEAR_MIPMAP_NEAREST,[Jn]:n.LINEAR_MIPMAP_LINEAR},Ct={[Zu]:n.NEVER,[ac]:n.ALWAYS,[Ju]:n.LESS,[rc]:n.LEQUAL,[Ku]:n.EQUAL,[oc]:n.GEQUAL,[ju]:n.GREATER,[Qu]:n.NOTEQUAL};function Kt(b,x){if(x.type===nn&&t.has("OES_texture_float_linear")===!1&&(x.magFilter===ze||x.magFilter===ko||x.magFilter===nr||x.magFilter===Jn||x.minFilter===ze||x.minFilter===ko||x.minFilter===nr||x.minFilter===Jn)&&It("WebGLRenderer: Unable to use linear filtering with floating point textures. OES_texture_float_linear not supported on this device."),n.texParameteri(b,n.TEXTURE_WRAP_S,Ot[x.wrapS]),n.texParameteri(b,n.TEXTURE_WRAP_T,Ot[x.wrapT]),(b===n.TEXTURE_3D||b===n.TEXTURE_2D_ARRAY)&&n.texParameteri(b,n.TEXTURE_WRAP_R,Ot[x.wrapR]),n.texParameteri(b,n.TEXTURE_MAG_FILTER,me[x.magFilter]),n.texParameteri(b,n.TEXTURE_MIN_FILTER,me[x.minFilter]),x.compareFunction&&(n.texParameteri(b,n.TEXTURE_COMPARE_MODE,n.COMPARE_REF_TO_TEXTURE),n.texParameteri(b,n.TEXTURE_COMPARE_FUNC,Ct[x.compareFunction])),t.has("EXT_texture_filter_anisotropic")===!0){if(x.magFilter===pe||x.minFilter!==nr&&x.minFilter!==Jn||x.type===nn&&t.has("OES_texture_float_linear")===!1)return;if(x.anisotropy>1||i.get(x).__currentAnisotropy){let O=t.get("EXT_texture_filter_anisotropic");n.texParameterf(b,O.TEXTURE_MAX_ANISOTROPY_EXT,Math.min(x.anisotropy,s.getMaxAnisotropy())),i.get(x).__currentAnisotropy=x.anisotropy}}}function te(b,x){let O=!1;b.__webglInit===void 0&&(b.__webglInit=!0,x.addEventListener("dispose",D),B(x));let et=x.source,j=f.get(et);j===void 0&&(j={},f.set(et,j));let rt=Z(x);if(rt!==b.__cacheKey){j[rt]===void 0&&(j[rt]={texture:n.createTexture(),usedTimes:0},o.memory.textures++,O=!0),j[rt].usedTimes++;let ht=j[b.__cacheKey];ht!==void 0&&(j[b.__cacheKey].usedTimes--,ht.usedTimes===0&&V(x)),b.__cacheKey=rt,b.__webglTexture=j[rt].texture}return O}function Gt(b,x,O){return Math.floor(Math.floor(b/O)/x)}function Re(b,x,O,et){let rt=b.updateRanges;if(rt.length===0)e.texSubImage2D(n.TEXTURE_2D,0,0,0,x.width,x.height,O,et,x.data);else{rt.sort((C,J)=>C.start-J.start);let ht=0;for(let C=1;C<rt.length;C++){let J=rt[ht],H=rt[C],lt=J.start+J.count,st=Gt(H.start,x.width,4),ot=Gt(J.start,x.width,4);H.start<=lt+1&&st===ot&&Gt(H.start+H.count-1,x.width,4)===st?J.count=Math.max(J.count,H.start+H.count-J.start):(++ht,rt[ht]=H)}rt.length=ht+1;let q=e.getParameter(n.UNPACK_ROW_LENGTH),Y=e.getParameter(n.UNPACK_SKIP_PIXELS),at=e.getParameter(n.UNPACK_SKIP_ROWS);e.pixelStorei(n.UNPACK_ROW_LENGTH,x.width);for(let C=0,J=rt.length;C<J;C++){let H=rt[C],lt=Math.floor(H.start/4),st=Math.ceil(H.count/4),ot=lt%x.width,Tt=Math.floor(lt/x.width),Bt=st,it=1;e.pixelStorei(n.UNPACK_SKIP_PIXELS,ot),e.pixelStorei(n.UNPACK_SKIP_ROWS,Tt),e.texSubImage2D(n.TEXTURE_2D,0,ot,Tt,Bt,it,O,et,x.data)}b.clearUpdateRanges(),e.pixelStorei(n.UNPACK_ROW_LENGTH,q),e.pixelStorei(n.UNPACK_SKIP_PIXELS,Y),e.pixelStorei(n.UNPACK_SKIP_ROWS,at)}}function ve(b,x,O){let et=n.TEXTURE_2D;(x.isDataArrayTexture||x.isCompressedArrayTexture)&&(et=n.TEXTURE_2D_ARRAY),x.isData3DTexture&&(et=n.TEXTURE_3D);let j=te(b,x),rt=x.source;e.bindTexture(et,b.__webglTexture,n.TEXTURE0+O);let ht=i.get(rt);if(rt.version!==ht.__version||j===!0){if(e.activeTexture(n.TEXTURE0+O),(typeof ImageBitmap<"u"&&x.image instanceof ImageBitmap)===!1){let it=zt.getPrimaries(zt.workingColorSpace),At=x.colorSpace===jn?null:zt.getPrimaries(x.colorSpace),Ft=x.colorSpace===jn||it===At?n.NONE:n.BROWSER_DEFAULT_WEBGL;e.pixelStorei(n.UNPACK_FLIP_Y_WEBGL,x.flipY),e.pixelStorei(n.UNPACK_PREMULTIPLY_ALPHA_WEBGL,x.premultiplyAlpha),e.pixelStorei(n.UNPACK_COLORSPACE_CONVERSION_WEBGL,Ft)}e.pixelStorei(n.UNPACK_ALIGNMENT,x.unpackAlignment);let Y=S(x.image,!1,s.maxTextureSize);Y=Rt(x,Y);let at=r.convert(x.format,x.colorSpace),C=r.convert(x.type),J=A(x.internalFormat,at,C,x.normalized,x.colorSpace,x.isVideoTexture);Kt(et,x);let H,lt=x.mipmaps,st=x.isVideoTexture!==!0,ot=ht.__version===void 0||j===!0,Tt=rt.dataReady,Bt=w(x,Y);if(x.isDepthTexture)J=_(x.format===Kn,x.type),ot&&(st?e.texStorage2D(n.TEXTURE_2D,1,J,Y.width,Y.height):e.texImage2D(n.TEXTURE_2D,0,J,Y.width,Y.height,0,at,C,null));else if(x.isDataTexture)if(lt.length>0){st&&ot&&e.texStorage2D(n.TEXTURE_2D,Bt,J,lt[0].width,lt[0].height);for(let it=0,At=lt.length;it<At;it++)H=lt[it],st?Tt&&e.texSubImage2D(n.TEXTURE_2D,it,0,0,H.width,H.height,at,C,H.data):e.texImage2D(n.TEXTURE_2D,it,J,H.width,H.height,0,at,C,H.data);x.generateMipmaps=!1}else st?(ot&&e.texStorage2D(n.TEXTURE_2D,Bt,J,Y.width,Y.height),Tt&&Re(x,Y,at,C)):e.texImage2D(n.TEXTURE_2D,0,J,Y.width,Y.height,0,at,C,Y.data);else if(x.isCompressedTexture)if(x.isCompressedArrayTexture){st&&ot&&e.texStorage3D(n.TEXTURE_2D_ARRAY,Bt,J,lt[0].width,lt[0].height,Y.depth);for(let it=0,At=lt.length;it<At;it++)if(H=lt[it],x.format!==sn)if(at!==null)if(st){if(Tt)if(x.layerUpdates.size>0){let Ft=dc(H.width,H.height,x.format,x.type);for(let ft of x.layerUpdates){let jt=H.data.subarray(ft*Ft/H.data.BYTES_PER_ELEMENT,(ft+1)*Ft/H.data.BYTES_PER_ELEMENT);e.compressedTexSubImage3D(n.TEXTURE_2D_ARRAY,it,0,0,ft,H.width,H.height,1,at,jt)}}else e.compressedTexSubImage3D(n.TEXTURE_2D_ARRAY,it,0,0,0,H.width,H.height,Y.depth,at,H.data)}else e.compressedTexImage3D(n.TEXTURE_2D_ARRAY,it,J,H.width,H.height,Y.depth,0,H.data,0,0);else It("WebGLRenderer: Attempt to load unsupported compressed texture format in .uploadTexture()");else st?Tt&&e.texSubImage3D(n.TEXTURE_2D_ARRAY,it,0,0,0,H.width,H.height,Y.depth,at,C,H.data):e.texImage3D(n.TEXTURE_2D_ARRAY,it,J,H.width,H.height,Y.depth,0,at,C,H.data);x.layerUpdates.size>0&&x.clearLayerUpdates()}else{st&&ot&&e.texStorage2D(n.TEXTURE_2D,Bt,J,lt[0].width,lt[0].height);for(let it=0,At=lt.length;it<At;it++)H=lt[it],x.format!==sn?at!==null?st?Tt&&e.compressedTexSubImage2D(n.TEXTURE_2D,it,0,0,H.width,H.height,at,H.data):e.compressedTexImage2D(n.TEXTURE_2D,it,J,H.width,H.height,0,H.data):It("WebGLRenderer: Attempt to load unsupported compressed texture format in .uploadTexture()"):st?Tt&&e.texSubImage2D(n.TEXTURE_2D,it,0,0,H.width,H.height,at,C,H.data):e.texImage2D(n.TEXTURE_2D,it,J,H.width,H.height,0,at,C,H.data)}else if(x.isDataArrayTexture)if(st){if(ot&&e.texStorage3D(n.TEXTURE_2D_ARRAY,Bt,J,Y.width,Y.height,Y.depth),Tt)if(x.layerUpdates.size>0){let it=dc(Y.width,Y.height,x.format,x.type);for(let At of x.layerUpdates){let Ft=Y.data.subarray(At*it/Y.data.BYTES_PER_ELEMENT,(At+1)*it/Y.data.BYTES_PER_ELEMENT);e.texSubImage3D(n.TEXTURE_2D_ARRAY,0,0,0,At,Y.width,Y.height,1,at,C,Ft)}x.clearLayerUpdates()}else e.texSubImage3D(n.TEXTURE_2D_ARRAY,0,0,0,0,Y.width,Y.height,Y.depth,at,C,Y.data)}else e.texImage3D(n.TEXTURE_2D_ARRAY,0,J,Y.width,Y.height,Y.depth,0,at,C,Y.data);else if(x.isData3DTexture)st?(ot&&e.texStorage3D(n.TEXTURE_3D,Bt,J,Y.width,Y.height,Y.depth),Tt&&e.texSubImage3D(n.TEXTURE_3D,0,0,0,0,Y.width,Y.height,Y.depth,at,C,Y.data)):e.texImage3D(n.TEXTURE_3D,0,J,Y.width,Y.height,Y.depth,0,at,C,Y.data);else if(x.isFramebufferTexture){if(ot)if(st)e.texStorage2D(n.TEXTURE_2D,Bt,J,Y.width,Y.height);else{let it=Y.width,At=Y.height;for(let Ft=0;Ft<Bt;Ft++)e.texImage2D(n.TEXTURE_2D,Ft,J,it,At,0,at,C,null),it>>=1,At>>=1}}else if(x.isHTMLTexture){if("texElementImage2D"in n){let it=n.canvas;if(it.hasAttribute("layoutsubtree")||it.setAttribute("layoutsubtree","true"),Y.parentNode!==it){it.appendChild(Y),d.add(x),it.onpaint=At=>{let Ft=At.changedElements;for(let ft of d)Ft.includes(ft.image)&&(ft.needsUpdate=!0)},it.requestPaint();return}if(n.texElementImage2D.length===3)n.texElementImage2D(n.TEXTURE_2D,n.RGBA8,Y);else{let Ft=n.RGBA,ft=n.RGBA,jt=n.UNSIGNED_BYTE;n.texElementImage2D(n.TEXTURE_2D,0,Ft,ft,jt,Y)}n.texParameteri(n.TEXTURE_2D,n.TEXTURE_MIN_FILTER,n.LINEAR),n.texParameteri(n.TEXTURE_2D,n.TEXTURE_WRAP_S,n.CLAMP_TO_EDGE),n.texParameteri(n.TEXTURE_2D,n.TEXTURE_WRAP_T,n.CLAMP_TO_EDGE)}}else if(lt.length>0){if(st&&ot){let it=Nt(lt[0]);e.texStorage2D(n.TEXTURE_2D,Bt,J,it.width,it.height)}for(let it=0,At=lt.length;it<At;it++)H=lt[it],st?Tt&&e.texSubImage2D(n.TEXTURE_2D,it,0,0,at,C,H):e.texImage2D(n.TEXTURE_2D,it,J,at,C,H);x.generateMipmaps=!1}else if(st){if(ot){let it=Nt(Y);e.texStorage2D(n.TEXTURE_2D,Bt,J,it.width,it.height)}Tt&&e.texSubImage2D(n.TEXTURE_2D,0,0,0,at,C,Y)}else e.texImage2D(n.TEXTURE_2D,0,J,at,C,Y);R(x)&&x.mipmapsAutoUpdate===!0&&T(et),ht.__version=rt.version,x.onUpdate&&x.onUpdate(x)}b.__version=x.version}function Ve(b,x,O){if(x.image.length!==6)return;let et=te(b,x),j=x.source;e.bindTexture(n.TEXTURE_CUBE_MAP,b.__webglTexture,n.TEXTURE0+O);let rt=i.get(j);if(j.version!==rt.__version||et===!0){e.activeTexture(n.TEXTURE0+O);let ht=zt.getPrimaries(zt.workingColorSpace),q=x.colorSpace===jn?null:zt.getPrimaries(x.colorSpace),Y=x.colorSpace===jn||ht===q?n.NONE:n.BROWSER_DEFAULT_WEBGL;e.pixelStorei(n.UNPACK_FLIP_Y_WEBGL,x.flipY),e.pixelStorei(n.UNPACK_PREMULTIPLY_ALPHA_WEBGL,x.premultiplyAlpha),e.pixelStorei(n.UNPACK_ALIGNMENT,x.unpackAlignment),e.pixelStorei(n.UNPACK_COLORSPACE_CONVERSION_WEBGL,Y);let at=x.isCompressedTexture||x.image[0].isCompressedTexture,C=x.image[0]&&x.image[0].isDataTexture,J=[];for(let ft=0;ft<6;ft++)!at&&!C?J[ft]=S(x.image[ft],!0,s.maxCubemapSize):J[ft]=C?x.image[ft].image:x.image[ft],J[ft]=Rt(x,J[ft]);let H=J[0],lt=r.convert(x.format,x.colorSpace),st=r.convert(x.type),ot=A(x.internalFormat,lt,st,x.normalized,x.colorSpace),Tt=x.isVideoTexture!==!0,Bt=rt.__version===void 0||et===!0,it=j.dataReady,At=w(x,H);Kt(n.TEXTURE_CUBE_MAP,x);let Ft;if(x.isDepthTexture){if(ot=_(x.format===Kn,x.type),Bt)if(Tt)e.texStorage2D(n.TEXTURE_CUBE_MAP,1,ot,H.width,H.height);else for(let ft=0;ft<6;ft++)e.texImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,ot,H.width,H.height,0,lt,st,null)}else if(at){Tt&&Bt&&e.texStorage2D(n.TEXTURE_CUBE_MAP,At,ot,H.width,H.height);for(let ft=0;ft<6;ft++){Ft=J[ft].mipmaps;for(let jt=0;jt<Ft.length;jt++){let we=Ft[jt];x.format!==sn?lt!==null?Tt?it&&e.compressedTexSubImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt,0,0,we.width,we.height,lt,we.data):e.compressedTexImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt,ot,we.width,we.height,0,we.data):It("WebGLRenderer: Attempt to load unsupported compressed texture format in .setTextureCube()"):Tt?it&&e.texSubImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt,0,0,we.width,we.height,lt,st,we.data):e.texImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt,ot,we.width,we.height,0,lt,st,we.data)}}}else{if(Ft=x.mipmaps,Tt&&Bt){Ft.length>0&&At++;let ft=Nt(J[0]);e.texStorage2D(n.TEXTURE_CUBE_MAP,At,ot,ft.width,ft.height)}for(let ft=0;ft<6;ft++)if(C){Tt?it&&e.texSubImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,0,0,J[ft].width,J[ft].height,lt,st,J[ft].data):e.texImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,ot,J[ft].width,J[ft].height,0,lt,st,J[ft].data);for(let jt=0;jt<Ft.length;jt++){let ti=Ft[jt].image[ft].image;Tt?it&&e.texSubImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt+1,0,0,ti.width,ti.height,lt,st,ti.data):e.texImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt+1,ot,ti.width,ti.height,0,lt,st,ti.data)}}else{Tt?it&&e.texSubImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,0,0,lt,st,J[ft]):e.texImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,0,ot,lt,st,J[ft]);for(let jt=0;jt<Ft.length;jt++){let we=Ft[jt];Tt?it&&e.texSubImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt+1,0,0,lt,st,we.image[ft]):e.texImage2D(n.TEXTURE_CUBE_MAP_POSITIVE_X+ft,jt+1,ot,lt,st,we.image[ft])}}}R(x)&&x.mipmapsAutoUpdate===!0&&T(n.TEXTURE_CUBE_MAP),rt.__version=j.version,x.onUpdate&&x.onUpdate(x)}b.__version=x.version}function ce(b,x,O,et,j,rt){let ht=r.convert(O.format,O.colorSpace),q=r.convert(O.type),Y=A(O.internalFormat,ht,q,O.normalized,O.colorSpace),at=i.get(x),C=i.get(O);if(C.__renderTarget=x,!at.__hasExternalTextures){let J=Math.max(1,x.width>>rt),H=Math.max(1,x.height>>rt);j===n.TEXTURE_3D||j===n.TEXTURE_2D_ARRAY?e.texImage3D(j,rt,Y,J,H,x.depth,0,ht,q,null):e.texImage2D(j,rt,Y,J,H,0,ht,q,null)}e.bindFramebuffer(n.FRAMEBUFFER,b),dt(x)?a.framebufferTexture2DMultisampleEXT(n.FRAMEBUFFER,et,j,C.__webglTexture,0,oe(x)):(j===n.TEXTURE_2D||j>=n.TEXTURE_CUBE_MAP_POSITIVE_X&&j<=n.TEXTURE_CUBE_MAP_NEGATIVE_Z)&&n.framebufferTexture2D(n.FRAMEBUFFER,et,j,C.__webglTexture,rt),e.bindFramebuffer(n.FRAMEBUFFER,null)}function Tn(b,x,O){if(n.bindRenderbuffer(n.RENDERBUFFER,b),x.depthBuffer){let et=x.depthTexture,j=et&&et.isDepthTexture?et.type:null,rt=_(x.stencilBuffer,j),ht=x.stencilBuffer?n.DEPTH_STENCIL_ATTACHMENT:n.DEPTH_ATTACHMENT;dt(x)?a.renderbufferStorageMultisampleEXT(n.RENDERBUFFER,oe(x),rt,x.width,x.height):O?n.renderbufferStorageMultisample(n.RENDERBUFFER,oe(x),rt,x.width,x.height):n.renderbufferStorage(n.RENDERBUFFER,rt,x.width,x.height),n.framebufferRenderbuffer(n.FRAMEBUFFER,ht,n.RENDERBUFFER,b)}else{let et=x.textures;for(let j=0;j<et.length;j++){let rt=et[j],ht=r.convert(rt.format,rt.colorSpace),q=r.convert(rt.type),Y=A(rt.internalFormat,ht,q,rt.normalized,rt.colorSpace);dt(x)?a.renderbufferStorageMultisampleEXT(n.RENDERBUFFER,oe(x),Y,x.width,x.height):O?n.renderbufferStorageMultisample(n.RENDERBUFFER,oe(x),Y,x.width,x.height):n.renderbufferStorage(n.RENDERBUFFER,Y,x.width,x.height)}}n.bindRenderbuffer(n.RENDERBUFFER,null)}function be(b,x,O){let et=x.isWebGLCubeRenderTarget===!0;if(e.bindFramebuffer(n.FRAMEBUFFER,b),!(x.depthTexture&&x.depthTexture.isDepthTexture))throw new Error("THREE.WebGLTextures: renderTarget.depthTexture must be an instance of THREE.DepthTexture.");let j=i.get(x.depthTexture);j.__renderTarget=x;let rt=et?x.depthTexture.image[0]:x.depthTexture.image;(!j.__webglTexture||rt.width!==x.width||rt.height!==x.height)&&(rt.width=x.width,rt.height=x.height,x.depthTexture.needsUpdate=!0),et?gt(x.depthTexture,0):mt(x.depthTexture,0);let ht=j.__webglTexture,q=oe(x),Y=et?n.TEXTURE_CUBE_MAP_POSITIVE_X+O:n.TEXTURE_2D,at=x.depthTexture.format===Kn?n.DEPTH_STENCIL_ATTACHMENT:n.DEPTH_ATTACHMENT;if(x.depthTexture.format===Yn)dt(x)?a.framebufferTexture2DMultisampleEXT(n.FRAMEBUFFER,at,Y,ht,0,q):n.framebufferTexture2D(n.FRAMEBUFFER,at,Y,ht,0);else if(x.depthTexture.format===Kn)dt(x)?a.framebufferTexture2DMultisampleEXT(n.FRAMEBUFFER,at,Y,ht,0,q):n.framebufferTexture2D(n.FRAMEBUFFER,at,Y,ht,0);else throw new Error("THREE.WebGLTextures: Unknown depthTexture format.")}function rn(b){let x=i.get(b),O=b.isWebGLCubeRenderTarget===!0;if(x.__boundDepthTexture!==b.depthTexture){let et=b.depthTexture;if(x.__depthDisposeCallback&&x.__depthDisposeCallback(),et){let j=()=>{delete x.__boundDepthTexture,delete x.__depthDisposeCallback,et.removeEventListener("dispose",j)};et.addEventListener("dispose",j),x.__depthDisposeCallback=j}x.__boundDepthTexture=et}if(b.depthTexture&&!x.__autoAllocateDepthBuffer)if(O)for(let et=0;et<6;et++)be(x.__webglFramebuffer[et],b,et);else b.texture.mipmaps.length>0?be(x.__webglFramebuffer[0],b,0):be(x.__webglFramebuffer,b,0);else if(O){x.__webglDepthbuffer=[];for(let et=0;et<6;et++)if(e.bindFramebuffer(n.FRAMEBUFFER,x.__webglFramebuffer[et]),x.__webglDepthbuffer[et]===void 0)x.__webglDepthbuffer[et]=n.createRenderbuffer(),Tn(x.__webglDepthbuffer[et],b,!1);else{let j=b.stencilBuffer?n.DEPTH_STENCIL_ATTACHMENT:n.DEPTH_ATTACHMENT,rt=x.__webglDepthbuffer[et];n.bindRenderbuffer(n.RENDERBUFFER,rt),n.framebufferRenderbuffer(n.FRAMEBUFFER,j,n.RENDERBUFFER,rt)}}else if(b.texture.mipmaps.length>0?e.bindFramebuffer(n.FRAMEBUFFER,x.__webglFramebuffer[0]):e.bindFramebuffer(n.FRAMEBUFFER,x.__webglFramebuffer),x.__webglDepthbuffer===void 0)x.__webglDepthbuffer=n.createRenderbuffer(),Tn(x.__webglDepthbuffer,b,!1);else{let j=b.stencilBuffer?n.DEPTH_STENCIL_ATTACHMENT:n.DEPTH_ATTACHMENT,rt=x.__webglDepthbuffer;n.bindRenderbuffer(n.RENDERBUFFER,rt),n.framebufferRenderbuffer(n.FRAMEBUFFER,j,n.RENDERBUFFER,rt)}e.bindFramebuffer(n.FRAMEBUFFER,null)}function on(b,x,O){let et=i.get(b);x!==void 0&&ce(et.__webglFramebuffer,b,b.texture,n.COLOR_ATTACHMENT0,n.TEXTURE_2D,0),O!==void 0&&rn(b)}function an(b){let x=b.texture,O=i.get(b),et=i.get(x);b.addEventListener("dispose",G),B(b);let j=b.textures,rt=b.isWebGLCubeRenderTarget===!0,ht=j.length>1;if(ht||(et.__webglTexture===void 0&&(et.__webglTexture=n.createTexture()),et.__version=x.version,o.memory.textures++),rt){O.__webglFramebuffer=[];for(let q=0;q<6;q++)if(x.mipmaps.length>0){O.__webglFramebuffer[q]=[];for(let Y=0;Y<x.mipmaps.length;Y++)O.__webglFramebuffer[q][Y]=n.createFramebuffer()}else O.__webglFramebuffer[q]=n.createFramebuffer()}else{if(x.mipmaps.length>0){O.__webglFramebuffer=[];for(let q=0;q<x.mipmaps.length;q++)O.__webglFramebuffer[q]=n.createFramebuffer()}else O.__webglFramebuffer=n.createFramebuffer();if(ht)for(let q=0,Y=j.length;q<Y;q++){let at=i.get(j[q]);at.__webglTexture===void 0&&(at.__webglTexture=n.createTexture(),o.memory.textures++)}if(b.samples>0&&dt(b)===!1){O.__webglMultisampledFramebuffer=n.createFramebuffer(),O.__webglColorRenderbuffer=[],e.bindFramebuffer(n.FRAMEBUFFER,O.__webglMultisampledFramebuffer);for(let q=0;q<j.length;q++){let Y=j[q];O.__webglColorRenderbuffer[q]=n.createRenderbuffer(),n.bindRenderbuffer(n.RENDERBUFFER,O.__webglColorRenderbuffer[q]);let at=r.convert(Y.format,Y.colorSpace),C=r.convert(Y.type),J=A(Y.internalFormat,at,C,Y.normalized,Y.colorSpace,b.isXRRenderTarget===!0),H=oe(b);n.renderbufferStorageMultisample(n.RENDERBUFFER,H,J,b.width,b.height),n.framebufferRenderbuffer(n.FRAMEBUFFER,n.COLOR_ATTACHMENT0+q,n.RENDERBUFFER,O.__webglColorRenderbuffer[q])}n.bindRenderbuffer(n.RENDERBUFFER,null),b.depthBuffer&&(O.__webglDepthRenderbuffer=n.createRenderbuffer(),Tn(O.__webglDepthRenderbuffer,b,!0)),e.bindFramebuffer(n.FRAMEBUFFER,null)}}if(rt){e.bindTexture(n.TEXTURE_CUBE_MAP,et.__webglTexture),Kt(n.TEXTURE_CUBE_MAP,x);for(let q=0;q<6;q++)if(x.mipmaps.length>0)for(let Y=0;Y<x.mipmaps.length;Y++)ce(O.__webglFramebuffer[q][Y],b,x,n.COLOR_ATTACHMENT0,n.TEXTURE_CUBE_MAP_POSITIVE_X+q,Y);else ce(O.__webglFramebuffer[q],b,x,n.COLOR_ATTACHMENT0,n.TEXTURE_CUBE_MAP_POSITIVE_X+q,0);R(x)?T(n.TEXTURE_CUBE_MAP):x.mipmaps.length>0&&n.texParameteri(n.TEXTURE_CUBE_MAP,n.TEXTURE_MAX_LEVEL,x.mipmaps.length-1),e.unbindTexture()}else if(ht){for(let q=0,Y=j.length;q<Y;q++){let at=j[q],C=i.get(at),J=n.TEXTURE_2D;(b.isWebGL3DRenderTarget||b.isWebGLArrayRenderTarget)&&(J=b.isWebGL3DRenderTarget?n.TEXTURE_3D:n.TEXTURE_2D_ARRAY),e.bindTexture(J,C.__webglTexture),Kt(J,at),ce(O.__webglFramebuffer,b,at,n.COLOR_ATTACHMENT0+q,J,0),R(at)&&T(J)}e.unbindTexture()}else{let q=n.TEXTURE_2D;if((b.isWebGL3DRenderTarget||b.isWebGLArrayRenderTarget)&&(q=b.isWebGL3DRenderTarget?n.TEXTURE_3D:n.TEXTURE_2D_ARRAY),e.bindTexture(q,et.__webglTexture),Kt(q,x),x.mipmaps.length>0)for(let Y=0;Y<x.mipmaps.length;Y++)ce(O.__webglFramebuffer[Y],b,x,n.COLOR_ATTACHMENT0,q,Y);else ce(O.__webglFramebuffer,b,x,n.COLOR_ATTACHMENT0,q,0);R(x)?T(q):x.mipmaps.length>0&&n.texParameteri(q,n.TEXTURE_MAX_LEVEL,x.mipmaps.length-1),e.unbindTexture()}b.depthBuffer&&rn(b)}function N(b){let x=b.textures;for(let O=0,et=x.length;O<et;O++){let j=x[O];if(R(j)&&j.mipmapsAutoUpdate===!0){let rt=E(b),ht=i.get(j).__webglTexture;e.bindTexture(rt,ht),T(rt),e.unbindTexture()}}}let ln=[];function re(b){if(b.samples>0){if(dt(b)===!1){let x=b.textures,O=b.width,et=b.height,j=n.COLOR_BUFFER_BIT,rt=b.stencilBuffer?n.DEPTH_STENCIL_ATTACHMENT:n.DEPTH_ATTACHMENT,ht=i.get(b),q=x.length>1;if(q)for(let at=0;at<x.length;at++)e.bindFramebuffer(n.FRAMEBUFFER,ht.__webglMultisampledFramebuffer),n.framebufferRenderbuffer(n.FRAMEBUFFER,n.COLOR_ATTACHMENT0+at,n.RENDERBUFFER,null),e.bindFramebuffer(n.FRAMEBUFFER,ht.__webglFramebuffer),n.framebufferTexture2D(n.DRAW_FRAMEBUFFER,n.COLOR_ATTACHMENT0+at,n.TEXTURE_2D,null,0);e.bindFramebuffer(n.READ_FRAMEBUFFER,ht.__webglMultisampledFramebuffer),b.texture.mipmaps.length>0?e.bindFramebuffer(n.DRAW_FRAMEBUFFER,ht.__webglFramebuffer[0]):e.bindFramebuffer(n.DRAW_FRAMEBUFFER,ht.__webglFramebuffer);for(let at=0;at<x.length;at++){if(b.resolveDepthBuffer&&(b.depthBuffer&&(j|=n.DEPTH_BUFFER_BIT),b.stencilBuffer&&b.resolveStencilBuffer&&(j|=n.STENCIL_BUFFER_BIT)),q){n.framebufferRenderbuffer(n.READ_FRAMEBUFFER,n.COLOR_ATTACHMENT0,n.RENDERBUFFER,ht.__webglColorRenderbuffer[at]);let C=i.get(x[at]).__webglTexture;n.framebufferTexture2D(n.DRAW_FRAMEBUFFER,n.COLOR_ATTACHMENT0,n.TEXTURE_2D,C,0)}n.blitFramebuffer(0,0,O,et,0,0,O,et,j,n.NEAREST),l===!0&&(ln.length=0,ln.push(n.COLOR_ATTACHMENT0+at),b.depthBuffer&&b.storeMultisampledDepthBuffer===!1&&ln.push(rt),n.invalidateFramebuffer(n.READ_FRAMEBUFFER,ln))}if(e.bindFramebuffer(n.READ_FRAMEBUFFER,null),e.bindFramebuffer(n.DRAW_FRAMEBUFFER,null),q)for(let at=0;at<x.length;at++){e.bindFramebuffer(n.FRAMEBUFFER,ht.__webglMultisampledFramebuffer),n.framebufferRenderbuffer(n.FRAMEBUFFER,n.COLOR_ATTACHMENT0+at,n.RENDERBUFFER,ht.__webglColorRenderbuffer[at]);let C=i.get(x[at]).__webglTexture;e.bindFramebuffer(n.FRAMEBUFFER,ht.__webglFramebuffer),n.framebufferTexture2D(n.DRAW_FRAMEBUFFER,n.COLOR_ATTACHMENT0+at,n.TEXTURE_2D,C,0)}e.bindFramebuffer(n.DRAW_FRAMEBUFFER,ht.__webglMultisampledFramebuffer)}else if(b.depthBuffer&&b.storeMultisampledDepthBuffer===!1&&l){let x=b.stencilBuffer?n.DEPTH_STENCIL_ATTACHMENT:n.DEPTH_ATTACHMENT;n.invalidateFramebuffer(n.DRAW_FRAMEBUFFER,[x])}}}function oe(b){return Math.min(s.maxSamples,b.samples)}function dt(b){let x=i.get(b);return b.samples>0&&t.has("WEBGL_multisampled_render_to_texture")===!0&&x.__useRenderToTexture!==!1}function ye(b){let x=o.render.frame;h.get(b)!==x&&(h.set(b,x),b.update())}function Rt(b,x){let O=b.colorSpace,et=b.format,j=b.type;return b.isCompressedTexture===!0||b.isVideoTexture===!0||O!==Ri&&O!==jn&&(zt.getTransfer(O)===Jt?(et!==sn||j!==en)&&It("WebGLTextures: sRGB encoded textures have to use RGBAFormat and UnsignedByteType."):Pt("WebGLTextures: Unsupported texture color space:",O)),x}function Nt(b){return typeof HTMLImageElement<"u"&&b instanceof HTMLImageElement?(c.width=b.naturalWidth||b.width,c.height=b.naturalHeight||b.height):typeof VideoFrame<"u"&&b instanceof VideoFrame?(c.width=b.displayWidth,c.height=b.displayHeight):(c.width=b.width,c.height=b.height),c}this.allocateTextureUnit=Dt,this.resetTextureUnits=Q,this.getTextureUnits=tt,this.setTextureUnits=bt,this.setTexture2D=mt,this.setTexture2DArray=yt,this.setTexture3D=Et,this.setTextureCube=gt,this.rebindTextures=on,this.setupRenderTarget=an,this.updateRenderTargetMipmap=N,this.updateMultisampleRenderTarget=re,this.setupDepthRenderbuffer=rn,this.setupFrameBufferTexture=ce,this.useMultisampledRTT=dt,this.dispose=X}function tM(n,t){function e(i,s=jn){let r,o=zt.getTransfer(s);if(i===en)return n.UNSIGNED_BYTE;if(i===Go)return n.UNSIGNED_SHORT_4_4_4_4;if(i===Vo)return n.UNSIGNED_SHORT_5_5_5_1;if(i===Ql)return n.UNSIGNED_INT_5_9_9_9_REV;if(i===tc)return n.UNSIGNED_INT_10F_11F_11F_REV;if(i===Kl)return n.BYTE;if(i===jl)return n.SHORT;if(i===ps)return n.UNSIGNED_SHORT;if(i===zo)return n.INT;if(i===bn)return n.UNSIGNED_INT;if(i===nn)return n.FLOAT;if(i===wn)return n.HALF_FLOAT;if(i===ec)return n.ALPHA;if(i===nc)return n.RGB;if(i===sn)return n.RGBA;if(i===Yn)return n.DEPTH_COMPONENT;if(i===Kn)return n.DEPTH_STENCIL;if(i===ic)return n.RED;if(i===Ho)return n.RED_INTEGER;if(i===gi)return n.RG;if(i===Wo)return n.RG_INTEGER;if(i===Xo)return n.RGBA_INTEGER;if(i===ir||i===sr||i===rr||i===or)if(o===Jt)if(r=t.get("WEBGL_compressed_texture_s3tc_srgb"),r!==null){if(i===ir)return r.COMPRESSED_SRGB_S3TC_DXT1_EXT;if(i===sr)return r.COMPRESSED_SRGB_ALPHA_S3TC_DXT1_EXT;if(i===rr)return r.COMPRESSED_SRGB_ALPHA_S3TC_DXT3_EXT;if(i===or)return r.COMPRESSED_SRGB_ALPHA_S3TC_DXT5_EXT}else return null;else if(r=t.get("WEBGL_compressed_texture_s3tc"),r!==null){if(i===ir)return r.COMPRESSED_RGB_S3TC_DXT1_EXT;if(i===sr)return r.COMPRESSED_RGBA_S3TC_DXT1_EXT;if(i===rr)return r.COMPRESSED_RGBA_S3TC_DXT3_EXT;if(i===or)return r.COMPRESSED_RGBA_S3TC_DXT5_EXT}else return null;if(i===qo||i===$o||i===Yo||i===Zo)if(r=t.get("WEBGL_compressed_texture_pvrtc"),r!==null){if(i===qo)return r.COMPRESSED_RGB_PVRTC_4BPPV1_IMG;if(i===$o)return r.COMPRESSED_RGB_PVRTC_2BPPV1_IMG;if(i===Yo)return r.COMPRESSED_RGBA_PVRTC_4BPPV1_IMG;if(i===Zo)return r.COMPRESSED_RGBA_PVRTC_2BPPV1_IMG}else return null;if(i===Jo||i===Ko||i===jo||i===Qo||i===ta||i===ar||i===ea)if(r=t.get("WEBGL_compressed_texture_etc"),r!==null){if(i===Jo||i===Ko)return o===Jt?r.COMPRESSED_SRGB8_ETC2:r.COMPRESSED_RGB8_ETC2;if(i===jo)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ETC2_EAC:r.COMPRESSED_RGBA8_ETC2_EAC;if(i===Qo)return r.COMPRESSED_R11_EAC;if(i===ta)return r.COMPRESSED_SIGNED_R11_EAC;if(i===ar)return r.COMPRESSED_RG11_EAC;if(i===ea)return r.COMPRESSED_SIGNED_RG11_EAC}else return null;if(i===na||i===ia||i===sa||i===ra||i===oa||i===aa||i===la||i===ca||i===ha||i===ua||i===da||i===fa||i===pa||i===ma)if(r=t.get("WEBGL_compressed_texture_astc"),r!==null){if(i===na)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_4x4_KHR:r.COMPRESSED_RGBA_ASTC_4x4_KHR;if(i===ia)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_5x4_KHR:r.COMPRESSED_RGBA_ASTC_5x4_KHR;if(i===sa)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_5x5_KHR:r.COMPRESSED_RGBA_ASTC_5x5_KHR;if(i===ra)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_6x5_KHR:r.COMPRESSED_RGBA_ASTC_6x5_KHR;if(i===oa)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_6x6_KHR:r.COMPRESSED_RGBA_ASTC_6x6_KHR;if(i===aa)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_8x5_KHR:r.COMPRESSED_RGBA_ASTC_8x5_KHR;if(i===la)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_8x6_KHR:r.COMPRESSED_RGBA_ASTC_8x6_KHR;if(i===ca)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_8x8_KHR:r.COMPRESSED_RGBA_ASTC_8x8_KHR;if(i===ha)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x5_KHR:r.COMPRESSED_RGBA_ASTC_10x5_KHR;if(i===ua)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x6_KHR:r.COMPRESSED_RGBA_ASTC_10x6_KHR;if(i===da)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x8_KHR:r.COMPRESSED_RGBA_ASTC_10x8_KHR;if(i===fa)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_10x10_KHR:r.COMPRESSED_RGBA_ASTC_10x10_KHR;if(i===pa)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_12x10_KHR:r.COMPRESSED_RGBA_ASTC_12x10_KHR;if(i===ma)return o===Jt?r.COMPRESSED_SRGB8_ALPHA8_ASTC_12x12_KHR:r.COMPRESSED_RGBA_ASTC_12x12_KHR}else return null;if(i===ga||i===_a||i===xa)if(r=t.get("EXT_texture_compression_bptc"),r!==null){if(i===ga)return o===Jt?r.COMPRESSED_SRGB_ALPHA_BPTC_UNORM_EXT:r.COMPRESSED_RGBA_BPTC_UNORM_EXT;if(i===_a)return r.COMPRESSED_RGB_BPTC_SIGNED_FLOAT_EXT;if(i===xa)return r.COMPRESSED_RGB_BPTC_UNSIGNED_FLOAT_EXT}else return null;if(i===va||i===ya||i===lr||i===Ma)if(r=t.get("EXT_texture_compression_rgtc"),r!==null){if(i===va)return r.COMPRESSED_RED_RGTC1_EXT;if(i===ya)return r.COMPRESSED_SIGNED_RED_RGTC1_EXT;if(i===lr)return r.COMPRESSED_RED_GREEN_RGTC2_EXT;if(i===Ma)return r.COMPRESSED_SIGNED_RED_GREEN_RGTC2_EXT}else return null;return i===Ui?n.UNSIGNED_INT_24_8:n[i]!==void 0?n[i]:null}return{convert:e}}var eM=`
void main() {

	gl_Position = vec4( position, 1.0 );

}`,nM=`
uniform sampler2DArray depthColor;
uniform float depthWidth;
uniform float depthHeight;

void main() {

	vec2 coord = vec2( gl_FragCoord.x / depthWidth, gl_FragCoord.y / depthHeight );

	if ( coord.x >= 1.0 ) {

		gl_FragDepth = texture( depthColor, vec3( coord.x - 1.0, coord.y, 1 ) ).r;

	} else {

		gl_FragDepth = texture( depthColor, vec3( coord.x, coord.y, 0 ) ).r;

	}

}`,Mc=class{constructor(){this.texture=null,this.mesh=null,this.depthNear=0,this.depthFar=0}init(t,e){if(this.texture===null){let i=new js(t.texture);(t.depthNear!==e.depthNear||t.depthFar!==e.depthFar)&&(this.depthNear=t.depthNear,this.depthFar=t.depthFar),this.texture=i}}getMesh(t){if(this.texture!==null&&this.mesh===null){let e=t.cameras[0].viewport,i=new Nn({vertexShader:eM,fragmentShader:nM,uniforms:{depthColor:{value:this.texture},depthWidth:{value:e.z},depthHeight:{value:e.w}}});this.mesh=new Oe(new Qs(20,20),i)}return this.mesh}reset(){this.texture=null,this.mesh=null}getDepthTexture(){return this.texture}},Sc=class extends Pn{constructor(t,e){super();let i=this,s=null,r=1,o=null,a="local-floor",l=1,c=null,h=null,d=null,u=null,f=null,g=null,M=typeof XRWebGLBinding<"u",p=new Mc,m={},S=e.getContextAttributes(),R=null,T=null,E=[],A=[],_=new Xt,w=null,B=null,L=new Ke;L.viewport=new se;let D=new Ke;D.viewport=new se;let G=[L,D],$=new Oo,P=null,X=null;this.cameraAutoUpdate=!0,this.enabled=!1,this.isPresenting=!1,this.getController=function(Z){let mt=E[Z];return mt===void 0&&(mt=new os,E[Z]=mt),mt.getTargetRaySpace()},this.getControllerGrip=function(Z){let mt=E[Z];return mt===void 0&&(mt=new os,E[Z]=mt),mt.getGripSpace()},this.getHand=function(Z){let mt=E[Z];return mt===void 0&&(mt=new os,E[Z]=mt),mt.getHandSpace()};function K(Z){let mt=A.indexOf(Z.inputSource);if(mt===-1)return;let yt=E[mt];yt!==void 0&&(yt.update(Z.inputSource,Z.frame,c||o),yt.dispatchEvent({type:Z.type,data:Z.inputSource}))}function V(){s.removeEventListener("select",K),s.removeEventListener("selectstart",K),s.removeEventListener("selectend",K),s.removeEventListener("squeeze",K),s.removeEventListener("squeezestart",K),s.removeEventListener("squeezeend",K),s.removeEventListener("end",V),s.removeEventListener("inputsourceschange",nt);for(let Z=0;Z<E.length;Z++){let mt=A[Z];mt!==null&&(A[Z]=null,E[Z].disconnect(mt))}P=null,X=null,p.reset();for(let Z in m)delete m[Z];if(t.setRenderTarget(R),f=null,u=null,d=null,s=null,T=null,Dt.stop(),i.isPresenting=!1,t.setPixelRatio(w),t.setSize(_.width,_.height,!1),B!==null){let Z=B.camera;Z.fov=B.fov,Z.zoom=B.zoom,Z.updateProjectionMatrix(),B=null}i.dispatchEvent({type:"sessionend"})}this.setFramebufferScaleFactor=function(Z){r=Z,i.isPresenting===!0&&It("WebXRManager: Cannot change framebuffer scale while presenting.")},this.setReferenceSpaceType=function(Z){a=Z,i.isPresenting===!0&&It("WebXRManager: Cannot change reference space type while presenting.")},this.getReferenceSpace=function(){return c||o},this.setReferenceSpace=function(Z){c=Z},this.getBaseLayer=function(){return u!==null?u:f},this.getBinding=function(){return d===null&&M&&(d=new XRWebGLBinding(s,e)),d},this.getFrame=function(){return g},this.getSession=function(){return s},this.setSession=async function(Z){if(s=Z,s!==null){if(R=t.getRenderTarget(),s.addEventListener("select",K),s.addEventListener("selectstart",K),s.addEventListener("selectend",K),s.addEventListener("squeeze",K),s.addEventListener("squeezestart",K),s.addEventListener("squeezeend",K),s.addEventListener("end",V),s.addEventListener("inputsourceschange",nt),S.xrCompatible!==!0&&await e.makeXRCompatible(),w=t.getPixelRatio(),t.getSize(_),M&&"createProjectionLayer"in XRWebGLBinding.prototype){let yt=null,Et=null,gt=null;S.depth&&(gt=S.stencil?e.DEPTH24_STENCIL8:e.DEPTH_COMPONENT24,yt=S.stencil?Kn:Yn,Et=S.stencil?Ui:bn);let Ot={colorFormat:e.RGBA8,depthFormat:gt,scaleFactor:r};d=this.getBinding(),u=d.createProjectionLayer(Ot),s.updateRenderState({layers:[u]}),t.setPixelRatio(1),t.setSize(u.textureWidth,u.textureHeight,!1),T=new je(u.textureWidth,u.textureHeight,{format:sn,type:en,depthTexture:new Zn(u.textureWidth,u.textureHeight,Et,void 0,void 0,void 0,void 0,void 0,void 0,yt),stencilBuffer:S.stencil,colorSpace:t.outputColorSpace,samples:S.antialias?4:0,resolveDepthBuffer:u.ignoreDepthValues===!1,resolveStencilBuffer:u.ignoreDepthValues===!1,storeMultisampledDepthBuffer:u.ignoreDepthValues===!1,storeMultisampledStencilBuffer:u.ignoreDepthValues===!1})}else{let yt={antialias:S.antialias,alpha:!0,depth:S.depth,stencil:S.stencil,framebufferScaleFactor:r};f=new XRWebGLLayer(s,e,yt),s.updateRenderState({baseLayer:f}),t.setPixelRatio(1),t.setSize(f.framebufferWidth,f.framebufferHeight,!1),T=new je(f.framebufferWidth,f.framebufferHeight,{format:sn,type:en,colorSpace:t.outputColorSpace,stencilBuffer:S.stencil,resolveDepthBuffer:f.ignoreDepthValues===!1,resolveStencilBuffer:f.ignoreDepthValues===!1,storeMultisampledDepthBuffer:f.ignoreDepthValues===!1,storeMultisampledStencilBuffer:f.ignoreDepthValues===!1})}T.isXRRenderTarget=!0,this.setFoveation(l),c=null,o=await s.requestReferenceSpace(a),Dt.setContext(s),Dt.start(),i.isPresenting=!0,i.dispatchEvent({type:"sessionstart"})}},this.getEnvironmentBlendMode=function(){if(s!==null)return s.environmentBlendMode},this.getDepthTexture=function(){return p.getDepthTexture()};function nt(Z){for(let mt=0;mt<Z.removed.length;mt++){let yt=Z.removed[mt],Et=A.indexOf(yt);Et>=0&&(A[Et]=null,E[Et].disconnect(yt))}for(let mt=0;mt<Z.added.length;mt++){let yt=Z.added[mt],Et=A.indexOf(yt);if(Et===-1){for(let Ot=0;Ot<E.length;Ot++)if(Ot>=A.length){A.push(yt),Et=Ot;break}else if(A[Ot]===null){A[Ot]=yt,Et=Ot;break}if(Et===-1)break}let gt=E[Et];gt&&gt.connect(yt)}}function W(Z,mt){mt===null?Z.matrixWorld.copy(Z.matrix):Z.matrixWorld.multiplyMatrices(mt.matrixWorld,Z.matrix),Z.matrixWorldInverse.copy(Z.matrixWorld).invert()}this.updateCamera=function(Z){if(s===null)return;let mt=Z.near,yt=Z.far;p.texture!==null&&(p.depthNear>0&&(mt=p.depthNear),p.depthFar>0&&(yt=p.depthFar)),$.near=D.near=L.near=mt,$.far=D.far=L.far=yt,(P!==$.near||X!==$.far)&&(s.updateRenderState({depthNear:$.near,depthFar:$.far}),P=$.near,X=$.far),$.layers.mask=Z.layers.mask|6,L.layers.mask=$.layers.mask&-5,D.layers.mask=$.layers.mask&-3;let Et=Z.parent,gt=$.cameras;W($,Et);for(let Ot=0;Ot<gt.length;Ot++)W(gt[Ot],Et);$.projectionMatrix.copy(L.projectionMatrix),$.projectionMatrixInverse.copy(L.projectionMatrixInverse),B===null&&Z.isPerspectiveCamera&&(B={camera:Z,fov:Z.fov,zoom:Z.zoom}),Q(Z,$,Et)};function Q(Z,mt,yt){yt===null?Z.matrix.copy(mt.matrixWorld):(Z.matrix.copy(yt.matrixWorld),Z.matrix.invert(),Z.matrix.multiply(mt.matrixWorld)),Z.matrix.decompose(Z.position,Z.quaternion,Z.scale),Z.updateMatrixWorld(!0),Z.projectionMatrix.copy(mt.projectionMatrix),Z.projectionMatrixInverse.copy(mt.projectionMatrixInverse),Z.isPerspectiveCamera&&(Z.fov=go*2*Math.atan(1/Z.projectionMatrix.elements[5]),Z.zoom=1)}this.getCamera=function(){return $},this.getFoveation=function(){if(!(u===null&&f===null))return l},this.setFoveation=function(Z){l=Z,u!==null&&(u.fixedFoveation=Z),f!==null&&f.fixedFoveation!==void 0&&(f.fixedFoveation=Z)},this.hasDepthSensing=function(){return p.texture!==null},this.getDepthSensingMesh=function(){return p.getMesh($)},this.getCameraTexture=function(Z){return m[Z]};let tt=null;function bt(Z,mt){if(h=mt.getViewerPose(c||o),g=mt,h!==null){let yt=h.views;f!==null&&(t.setRenderTargetFramebuffer(T,f.framebuffer),t.setRenderTarget(T));let Et=!1;yt.length!==$.cameras.length&&($.cameras.length=0,Et=!0);for(let Ct=0;Ct<yt.length;Ct++){let Kt=yt[Ct],te=null;if(f!==null)te=f.getViewport(Kt);else{let Re=d.getViewSubImage(u,Kt);te=Re.viewport,Ct===0&&(t.setRenderTargetTextures(T,Re.colorTexture,Re.depthStencilTexture),t.setRenderTarget(T))}let Gt=G[Ct];Gt===void 0&&(Gt=new Ke,Gt.layers.enable(Ct),Gt.viewport=new se,G[Ct]=Gt),Gt.matrix.fromArray(Kt.transform.matrix),Gt.matrix.decompose(Gt.position,Gt.quaternion,Gt.scale),Gt.projectionMatrix.fromArray(Kt.projectionMatrix),Gt.projectionMatrixInverse.copy(Gt.projectionMatrix).invert(),Gt.viewport.set(te.x,te.y,te.width,te.height),Ct===0&&($.matrix.copy(Gt.matrix),$.matrix.decompose($.position,$.quaternion,$.scale)),Et===!0&&$.cameras.push(Gt)}let gt=s.enabledFeatures;if(gt&&gt.includes("depth-sensing")&&s.depthUsage=="gpu-optimized"&&M){d=i.getBinding();let Ct=d.getDepthInformation(yt[0]);Ct&&Ct.isValid&&Ct.texture&&p.init(Ct,s.renderState)}if(gt&&gt.includes("camera-access")&&M){t.state.unbindTexture(),d=i.getBinding();for(let Ct=0;Ct<yt.length;Ct++){let Kt=yt[Ct].camera;if(Kt){let te=m[Kt];te||(te=new js,m[Kt]=te);let Gt=d.getCameraImage(Kt);te.sourceTexture=Gt}}}}for(let yt=0;yt<E.length;yt++){let Et=A[yt],gt=E[yt];Et!==null&&gt!==void 0&&gt.update(Et,mt,c||o)}tt&&tt(Z,mt),mt.detectedPlanes&&i.dispatchEvent({type:"planesdetected",data:mt}),g=null}let Dt=new Ld;Dt.setAnimationLoop(bt),this.setAnimationLoop=function(Z){tt=Z},this.dispose=function(){}}},iM=new fe,Vd=new Lt;Vd.set(-1,0,0,0,1,0,0,0,1);function sM(n,t){function e(p,m){p.matrixAutoUpdate===!0&&p.updateMatrix(),m.value.copy(p.matrix)}function i(p,m){m.color.getRGB(p.fogColor.value,cc(n)),m.isFog?(p.fogNear.value=m.near,p.fogFar.value=m.far):m.isFogExp2&&(p.fogDensity.value=m.density)}function s(p,m,S,R,T){m.isNodeMaterial?m.uniformsNeedUpdate=!1:m.isMeshBasicMaterial?r(p,m):m.isMeshLambertMaterial?(r(p,m),m.envMap&&(p.envMapIntensity.value=m.envMapIntensity)):m.isMeshToonMaterial?(r(p,m),d(p,m)):m.isMeshPhongMaterial?(r(p,m),h(p,m),m.envMap&&(p.envMapIntensity.value=m.envMapIntensity)):m.isMeshStandardMaterial?(r(p,m),u(p,m),m.isMeshPhysicalMaterial&&f(p,m,T)):m.isMeshMatcapMaterial?(r(p,m),g(p,m)):m.isMeshDepthMaterial?r(p,m):m.isMeshDistanceMaterial?(r(p,m),M(p,m)):m.isMeshNormalMaterial?r(p,m):m.isLineBasicMaterial?(o(p,m),m.isLineDashedMaterial&&a(p,m)):m.isPointsMaterial?l(p,m,S,R):m.isSpriteMaterial?c(p,m):m.isShadowMaterial?(p.color.value.copy(m.color),p.opacity.value=m.opacity):m.isShaderMaterial&&(m.uniformsNeedUpdate=!1)}function r(p,m){p.opacity.value=m.opacity,m.color&&p.diffuse.value.copy(m.color),m.emissive&&p.emissive.value.copy(m.emissive).multiplyScalar(m.emissiveIntensity),m.map&&(p.map.value=m.map,e(m.map,p.mapTransform)),m.alphaMap&&(p.alphaMap.value=m.alphaMap,e(m.alphaMap,p.alphaMapTransform)),m.bumpMap&&(p.bumpMap.value=m.bumpMap,e(m.bumpMap,p.bumpMapTransform),p.bumpScale.value=m.bumpScale,m.side===Ge&&(p.bumpScale.value*=-1)),m.normalMap&&(p.normalMap.value=m.normalMap,e(m.normalMap,p.normalMapTransform),p.normalScale.value.copy(m.normalScale),m.side===Ge&&p.normalScale.value.negate()),m.displacementMap&&(p.displacementMap.value=m.displacementMap,e(m.displacementMap,p.displacementMapTransform),p.displacementScale.value=m.displacementScale,p.displacementBias.value=m.displacementBias),m.emissiveMap&&(p.emissiveMap.value=m.emissiveMap,e(m.emissiveMap,p.emissiveMapTransform)),m.specularMap&&(p.specularMap.value=m.specularMap,e(m.specularMap,p.specularMapTransform)),m.alphaTest>0&&(p.alphaTest.value=m.alphaTest);let S=t.get(m),R=S.envMap,T=S.envMapRotation;R&&(p.envMap.value=R,p.envMapRotation.value.setFromMatrix4(iM.makeRotationFromEuler(T)).transpose(),R.isCubeTexture&&R.isRenderTargetTexture===!1&&p.envMapRotation.value.premultiply(Vd),p.reflectivity.value=m.reflectivity,p.ior.value=m.ior,p.refractionRatio.value=m.refractionRatio),m.lightMap&&(p.lightMap.value=m.lightMap,p.lightMapIntensity.value=m.lightMapIntensity,e(m.lightMap,p.lightMapTransform)),m.aoMap&&(p.aoMap.value=m.aoMap,p.aoMapIntensity.value=m.aoMapIntensity,e(m.aoMap,p.aoMapTransform))}function o(p,m){p.diffuse.value.copy(m.color),p.opacity.value=m.opacity,m.map&&(p.map.value=m.map,e(m.map,p.mapTransform))}function a(p,m){p.dashSize.value=m.dashSize,p.totalSize.value=m.dashSize+m.gapSize,p.scale.value=m.scale}function l(p,m,S,R){p.diffuse.value.copy(m.color),p.opacity.value=m.opacity,p.size.value=m.size*S,p.scale.value=R*.5,m.map&&(p.map.value=m.map,e(m.map,p.uvTransform)),m.alphaMap&&(p.alphaMap.value=m.alphaMap,e(m.alphaMap,p.alphaMapTransform)),m.alphaTest>0&&(p.alphaTest.value=m.alphaTest)}function c(p,m){p.diffuse.value.copy(m.color),p.opacity.value=m.opacity,p.rotation.value=m.rotation,m.map&&(p.map.value=m.map,e(m.map,p.mapTransform)),m.alphaMap&&(p.alphaMap.value=m.alphaMap,e(m.alphaMap,p.alphaMapTransform)),m.alphaTest>0&&(p.alphaTest.value=m.alphaTest)}function h(p,m){p.specular.value.copy(m.specular),p.shininess.value=Math.max(m.shininess,1e-4)}function d(p,m){m.gradientMap&&(p.gradientMap.value=m.gradientMap)}function u(p,m){p.metalness.value=m.metalness,m.metalnessMap&&(p.metalnessMap.value=m.metalnessMap,e(m.metalnessMap,p.metalnessMapTransform)),p.roughness.value=m.roughness,m.roughnessMap&&(p.roughnessMap.value=m.roughnessMap,e(m.roughnessMap,p.roughnessMapTransform)),m.envMap&&(p.envMapIntensity.value=m.envMapIntensity)}function f(p,m,S){p.ior.value=m.ior,m.diffuseRoughness>0&&(p.diffuseRoughness.value=m.diffuseRoughness,m.diffuseRoughnessMap&&(p.diffuseRoughnessMap.value=m.diffuseRoughnessMap,e(m.diffuseRoughnessMap,p.diffuseRoughnessMapTransform))),m.sheen>0&&(p.sheenColor.value.copy(m.sheenColor).multiplyScalar(m.sheen),p.sheenRoughness.value=m.sheenRoughness,m.sheenColorMap&&(p.sheenColorMap.value=m.sheenColorMap,e(m.sheenColorMap,p.sheenColorMapTransform)),m.sheenRoughnessMap&&(p.sheenRoughnessMap.value=m.sheenRoughnessMap,e(m.sheenRoughnessMap,p.sheenRoughnessMapTransform))),m.clearcoat>0&&(p.clearcoat.value=m.clearcoat,p.clearcoatRoughness.value=m.clearcoatRoughness,m.clearcoatMap&&(p.clearcoatMap.value=m.clearcoatMap,e(m.clearcoatMap,p.clearcoatMapTransform)),m.clearcoatRoughnessMap&&(p.clearcoatRoughnessMap.value=m.clearcoatRoughnessMap,e(m.clearcoatRoughnessMap,p.clearcoatRoughnessMapTransform)),m.clearcoatNormalMap&&(p.clearcoatNormalMap.value=m.clearcoatNormalMap,e(m.clearcoatNormalMap,p.clearcoatNormalMapTransform),p.clearcoatNormalScale.value.copy(m.clearcoatNormalScale),m.side===Ge&&p.clearcoatNormalScale.value.negate())),m.dispersion>0&&(p.dispersion.value=m.dispersion),m.retroreflectivity>0&&(p.retroreflectivity.value=m.retroreflectivity),m.iridescence>0&&(p.iridescence.value=m.iridescence,p.iridescenceIOR.value=m.iridescenceIOR,p.iridescenceThicknessMinimum.value=m.iridescenceThicknessMinimum,p.iridescenceThicknessMaximum.value=m.iridescenceThicknessMaximum,m.iridescenceMap&&(p.iridescenceMap.value=m.iridescenceMap,e(m.iridescenceMap,p.iridescenceMapTransform)),m.iridescenceThicknessMap&&(p.iridescenceThicknessMap.value=m.iridescenceThicknessMap,e(m.iridescenceThicknessMap,p.iridescenceThicknessMapTransform))),m.transmission>0&&(p.transmission.value=m.transmission,p.transmissionSamplerMap.value=S.texture,p.transmissionSamplerSize.value.set(S.width,S.height),m.transmissionMap&&(p.transmissionMap.value=m.transmissionMap,e(m.transmissionMap,p.transmissionMapTransform)),p.thickness.value=m.thickness,m.thicknessMap&&(p.thicknessMap.value=m.thicknessMap,e(m.thicknessMap,p.thicknessMapTransform)),p.attenuationDistance.value=m.attenuationDistance,p.attenuationColor.value.copy(m.attenuationColor)),m.anisotropy>0&&(p.anisotropyVector.value.set(m.anisotropy*Math.cos(m.anisotropyRotation),m.anisotropy*Math.sin(m.anisotropyRotation)),m.anisotropyMap&&(p.anisotropyMap.value=m.anisotropyMap,e(m.anisotropyMap,p.anisotropyMapTransform))),p.specularIntensity.value=m.specularIntensity,p.specularColor.value.copy(m.specularColor),m.specularColorMap&&(p.specularColorMap.value=m.specularColorMap,e(m.specularColorMap,p.specularColorMapTransform)),m.specularIntensityMap&&(p.specularIntensityMap.value=m.specularIntensityMap,e(m.specularIntensityMap,p.specularIntensityMapTransform))}function g(p,m){m.matcap&&(p.matcap.value=m.matcap)}function M(p,m){let S=t.get(m).light;p.referencePosition.value.setFromMatrixPosition(S.matrixWorld),p.nearDistance.value=S.shadow.camera.near,p.farDistance.value=S.shadow.camera.far}return{refreshFogUniforms:i,refreshMaterialUniforms:s}}function rM(n,t,e,i){let s={},r={};function o(S,R){let T=R.program;i.uniformBlockBinding(S,T,s[S.id])}function a(S,R){let T=s[S.id];T===void 0&&(g(S),T=l(S),s[S.id]=T,S.addEventListener("dispose",p));let E=R.program;i.updateUBOMapping(S,E);let A=t.render.frame;r[S.id]!==A&&(c(S),r[S.id]=A)}function l(S){let R=n.createBuffer(),T=S.__size,E=S.usage;return n.bindBuffer(n.UNIFORM_BUFFER,R),n.bufferData(n.UNIFORM_BUFFER,T,E),n.bindBuffer(n.UNIFORM_BUFFER,null),R}function c(S){let R=s[S.id],T=S.uniforms,E=S.__cache;n.bindBuffer(n.UNIFORM_BUFFER,R);for(let A=0,_=T.length;A<_;A++){let w=T[A];if(Array.isArray(w))for(let B=0,L=w.length;B<L;B++)h(w[B],A,B,E);else h(w,A,0,E)}n.bindBuffer(n.UNIFORM_BUFFER,null)}function h(S,R,T,E){if(u(S,R,T,E)===!0){let A=S.__offset,_=S.value;if(Array.isArray(_)){let w=0;for(let B=0;B<_.length;B++){let L=_[B],D=M(L,!0);d(L,S.__data,w),w+=D.storage/Float32Array.BYTES_PER_ELEMENT}}else d(_,S.__data,0);n.bufferSubData(n.UNIFORM_BUFFER,A,S.__data)}}function d(S,R,T){typeof S=="number"||typeof S=="boolean"?R[T]=S:S.isMatrix3?(R[T]=S.elements[0],R[T+1]=S.elements[1],R[T+2]=S.elements[2],R[T+3]=0,R[T+4]=S.elements[3],R[T+5]=S.elements[4],R[T+6]=S.elements[5],R[T+7]=0,R[T+8]=S.elements[6],R[T+9]=S.elements[7],R[T+10]=S.elements[8],R[T+11]=0):ArrayBuffer.isView(S)?R.set(S.subarray(0,R.length-T),T):S.toArray(R,T)}function u(S,R,T,E){let A=S.value,_=R+"_"+T;if(Array.isArray(A)){E[_]===void 0&&(E[_]=[]);let w=E[_],B=!1;for(let L=0;L<A.length;L++)f(A[L],w,L)===!0&&(B=!0);return B}return f(A,E,_)}function f(S,R,T){if(R[T]===void 0)return typeof S=="number"||typeof S=="boolean"?R[T]=S:ArrayBuffer.isView(S)?R[T]=S.slice():R[T]=S.clone(),!0;{let E=R[T];if(typeof S=="number"||typeof S=="boolean"){if(E!==S)return R[T]=S,!0}else{if(ArrayBuffer.isView(S))return!0;if(E.equals(S)===!1)return E.copy(S),!0}}return!1}function g(S){let R=S.uniforms,T=0,E=16;for(let _=0,w=R.length;_<w;_++){let B=Array.isArray(R[_])?R[_]:[R[_]];for(let L=0,D=B.length;L<D;L++){let G=B[L],$=Array.isArray(G.value)?G.value:[G.value],P=Array.isArray(R[_])||Array.isArray(G.value),X=T;for(let V=0,nt=$.length;V<nt;V++){let W=$[V],Q=M(W,P),tt=T%E,bt=tt%Q.boundary,Dt=tt+bt;T+=bt,Dt!==0&&E-Dt<Q.storage&&(T+=E-Dt),V===0&&(X=T),T+=Q.storage}let K=G.type==="int"?Int32Array:G.type==="uint"?Uint32Array:Float32Array;G.__data=new K((T-X)/Float32Array.BYTES_PER_ELEMENT),G.__offset=X}}let A=T%E;return A>0&&(T+=E-A),S.__size=T,S.__cache={},this}function M(S,R){let T={boundary:0,storage:0};return typeof S=="number"||typeof S=="boolean"?(T.boundary=4,T.storage=4):S.isVector2?(T.boundary=8,T.storage=8):S.isVector3||S.isColor?(T.boundary=16,T.storage=12):S.isVector4?(T.boundary=16,T.storage=16):S.isMatrix3?(T.boundary=16,T.storage=48):S.isMatrix4?(T.boundary=16,T.storage=64):S.isTexture?It("WebGLRenderer: Texture samplers can not be part of an uniforms group."):ArrayBuffer.isView(S)?(T.boundary=16,T.storage=S.byteLength):It("WebGLRenderer: Unsupported uniform value type.",S),R===!0&&(T.boundary=16,T.storage=Math.ceil(T.storage/16)*16),T}function p(S){let R=S.target;R.removeEventListener("dispose",p),n.deleteBuffer(s[R.id]),delete s[R.id],delete r[R.id]}function m(){for(let S in s)n.deleteBuffer(s[S]);s={},r={}}return{bind:o,update:a,dispose:m}}var oM=new Uint16Array([12469,15057,12620,14925,13266,14620,13807,14376,14323,13990,14545,13625,14713,13328,14840,12882,14931,12528,14996,12233,15039,11829,15066,11525,15080,11295,15085,10976,15082,10705,15073,10495,13880,14564,13898,14542,13977,14430,14158,14124,14393,13732,14556,13410,14702,12996,14814,12596,14891,12291,14937,11834,14957,11489,14958,11194,14943,10803,14921,10506,14893,10278,14858,9960,14484,14039,14487,14025,14499,13941,14524,13740,14574,13468,14654,13106,14743,12678,14818,12344,14867,11893,14889,11509,14893,11180,14881,10751,14852,10428,14812,10128,14765,9754,14712,9466,14764,13480,14764,13475,14766,13440,14766,13347,14769,13070,14786,12713,14816,12387,14844,11957,14860,11549,14868,11215,14855,10751,14825,10403,14782,10044,14729,9651,14666,9352,14599,9029,14967,12835,14966,12831,14963,12804,14954,12723,14936,12564,14917,12347,14900,11958,14886,11569,14878,11247,14859,10765,14828,10401,14784,10011,14727,9600,14660,9289,14586,8893,14508,8533,15111,12234,15110,12234,15104,12216,15092,12156,15067,12010,15028,11776,14981,11500,14942,11205,14902,10752,14861,10393,14812,9991,14752,9570,14682,9252,14603,8808,14519,8445,14431,8145,15209,11449,15208,11451,15202,11451,15190,11438,15163,11384,15117,11274,15055,10979,14994,10648,14932,10343,14871,9936,14803,9532,14729,9218,14645,8742,14556,8381,14461,8020,14365,7603,15273,10603,15272,10607,15267,10619,15256,10631,15231,10614,15182,10535,15118,10389,15042,10167,14963,9787,14883,9447,14800,9115,14710,8665,14615,8318,14514,7911,14411,7507,14279,7198,15314,9675,15313,9683,15309,9712,15298,9759,15277,9797,15229,9773,15166,9668,15084,9487,14995,9274,14898,8910,14800,8539,14697,8234,14590,7790,14479,7409,14367,7067,14178,6621,15337,8619,15337,8631,15333,8677,15325,8769,15305,8871,15264,8940,15202,8909,15119,8775,15022,8565,14916,8328,14804,8009,14688,7614,14569,7287,14448,6888,14321,6483,14088,6171,15350,7402,15350,7419,15347,7480,15340,7613,15322,7804,15287,7973,15229,8057,15148,8012,15046,7846,14933,7611,14810,7357,14682,7069,14552,6656,14421,6316,14251,5948,14007,5528,15356,5942,15356,5977,15353,6119,15348,6294,15332,6551,15302,6824,15249,7044,15171,7122,15070,7050,14949,6861,14818,6611,14679,6349,14538,6067,14398,5651,14189,5311,13935,4958,15359,4123,15359,4153,15356,4296,15353,4646,15338,5160,15311,5508,15263,5829,15188,6042,15088,6094,14966,6001,14826,5796,14678,5543,14527,5287,14377,4985,14133,4586,13869,4257,15360,1563,15360,1642,15358,2076,15354,2636,15341,3350,15317,4019,15273,4429,15203,4732,15105,4911,14981,4932,14836,4818,14679,4621,14517,4386,14359,4156,14083,3795,13808,3437,15360,122,15360,137,15358,285,15355,636,15344,1274,15322,2177,15281,2765,15215,3223,15120,3451,14995,3569,14846,3567,14681,3466,14511,3305,14344,3121,14037,2800,13753,2467,15360,0,15360,1,15359,21,15355,89,15346,253,15325,479,15287,796,15225,1148,15133,1492,15008,1749,14856,1882,14685,1886,14506,1783,14324,1608,13996,1398,13702,1183]),Un=null;function aM(){return Un===null&&(Un=new ls(oM,16,16,gi,wn),Un.name="DFG_LUT",Un.minFilter=ze,Un.magFilter=ze,Un.wrapS=In,Un.wrapT=In,Un.generateMipmaps=!1,Un.needsUpdate=!0),Un}var Aa=class{constructor(t={}){let{canvas:e=td(),context:i=null,depth:s=!0,stencil:r=!1,alpha:o=!1,antialias:a=!1,premultipliedAlpha:l=!0,preserveDrawingBuffer:c=!1,powerPreference:h="default",failIfMajorPerformanceCaveat:d=!1,reversedDepthBuffer:u=!1,outputBufferType:f=en}=t;this.isWebGLRenderer=!0;let g;if(i!==null){if(typeof WebGLRenderingContext<"u"&&i instanceof WebGLRenderingContext)throw new Error("THREE.WebGLRenderer: WebGL 1 is not supported since r163.");g=i.getContextAttributes().alpha}else g=o;let M=f,p=new Set([Xo,Wo,Ho]),m=new Set([en,bn,ps,Ui,Go,Vo]),S=new Uint32Array(4),R=new Int32Array(4),T={textures:[],min:[],max:[],resolution:[]},E=null,A=null,_=[],w=[],B=null;this.domElement=e,this.debug={checkShaderErrors:!0,diagnostics:{keywords:!1},onShaderError:null},this.autoClear=!0,this.autoClearColor=!0,this.autoClearDepth=!0,this.autoClearStencil=!0,this.sortObjects=!0,this.clippingPlanes=[],this.localClippingEnabled=!1,this.toneMapping=Dn,this.toneMappingExposure=1,this.transmissionResolutionScale=1;let L=this,D=!1,G=null,$=null,P=null,X=null;this._outputColorSpace=Je;let K=0,V=0,nt=null,W=-1,Q=null,tt=new se,bt=new se,Dt=null,Z=new Yt(0),mt=0,yt=e.width,Et=e.height,gt=1,Ot=null,me=null,Ct=new se(0,0,yt,Et),Kt=new se(0,0,yt,Et),te=!1,Gt=new Ii,Re=new So,ve=!1,Ve=!1,ce=new fe,Tn=new z,be=new se,rn={background:null,fog:null,environment:null,overrideMaterial:null,isScene:!0},on=!1;function an(){return nt===null?gt:1}let N=i;function ln(v,I){return e.getContext(v,I)}let re,oe,dt,ye,Rt,Nt,b,x,O,et,j,rt,ht,q,Y,at,C,J,H,lt,st,ot,Tt;try{let v={alpha:!0,depth:s,stencil:r,antialias:a,premultipliedAlpha:l,preserveDrawingBuffer:c,powerPreference:h,failIfMajorPerformanceCaveat:d};if("setAttribute"in e&&e.setAttribute("data-engine",`three.js r${"187"}`),e.addEventListener("webglcontextlost",At,!1),e.addEventListener("webglcontextrestored",Ft,!1),e.addEventListener("webglcontextcreationerror",ft,!1),N===null){let I="webgl2";if(N=ln(I,v),N===null)throw ln(I)?new Error("THREE.WebGLRenderer: Error creating WebGL context with your selected attributes."):new Error("THREE.WebGLRenderer: Error creating WebGL context.")}Bt()}catch(v){throw e.removeEventListener("webglcontextlost",At,!1),e.removeEventListener("webglcontextrestored",Ft,!1),e.removeEventListener("webglcontextcreationerror",ft,!1),Pt("WebGLRenderer: "+v.message),v}function Bt(){re=new xv(N),re.init(),st=new tM(N,re),oe=new av(N,re,t,st),dt=new jy(N,re),oe.reversedDepthBuffer&&u&&dt.buffers.depth.setReversed(!0),$=N.createFramebuffer(),P=N.createFramebuffer(),X=N.createFramebuffer(),ye=new Mv(N),Rt=new By,Nt=new Qy(N,re,dt,Rt,oe,st,ye),b=new _v(L),x=new b0(N),ot=new rv(N,x),O=new vv(N,x,ye,ot),et=new bv(N,O,x,ot,ye),J=new Sv(N,oe,Nt),Y=new lv(Rt),j=new Fy(L,b,re,oe,ot,Y),rt=new sM(L,Rt),ht=new zy,q=new qy(re),C=new sv(L,b,dt,et,g,l),at=new Ky(L,et,oe),Tt=new rM(N,ye,oe,dt),H=new ov(N,re,ye),lt=new yv(N,re,ye),ye.programs=j.programs,L.capabilities=oe,L.extensions=re,L.properties=Rt,L.renderLists=ht,L.shadowMap=at,L.state=dt,L.info=ye}M!==en&&(B=new Tv(M,e.width,e.height,a,s,r));let it=new Sc(L,N);this.xr=it,this.getContext=function(){return N},this.getContextAttributes=function(){return N.getContextAttributes()},this.forceContextLoss=function(){let v=re.get("WEBGL_lose_context");v&&v.loseContext()},this.forceContextRestore=function(){let v=re.get("WEBGL_lose_context");v&&v.restoreContext()},this.getPixelRatio=function(){return gt},this.setPixelRatio=function(v){v!==void 0&&(gt=v,this.setSize(yt,Et,!1))},this.getSize=function(v){return v.set(yt,Et)},this.setSize=function(v,I,k=!0){if(it.isPresenting){It("WebGLRenderer: Can't change size while VR device is presenting.");return}yt=v,Et=I,e.width=Math.floor(v*gt),e.height=Math.floor(I*gt),k===!0&&(e.style.width=v+"px",e.style.height=I+"px"),B!==null&&B.setSize(e.width,e.height),this.setViewport(0,0,v,I)},this.getDrawingBufferSize=function(v){return v.set(yt*gt,Et*gt).floor()},this.setDrawingBufferSize=function(v,I,k){yt=v,Et=I,gt=k,e.width=Math.floor(v*k),e.height=Math.floor(I*k),this.setViewport(0,0,v,I)},this.setEffects=function(v){if(M===en){Pt("WebGLRenderer: setEffects() requires outputBufferType set to HalfFloatType or FloatType.");return}if(v){for(let I=0;I<v.length;I++)if(v[I].isOutputPass===!0){It("WebGLRenderer: OutputPass is not needed in setEffects(). Tone mapping and color space conversion are applied automatically.");break}}B.setEffects(v||[])},this.getCurrentViewport=function(v){return v.copy(tt)},this.getViewport=function(v){return v.copy(Ct)},this.setViewport=function(v,I,k,U){v.isVector4?Ct.set(v.x,v.y,v.z,v.w):Ct.set(v,I,k,U),dt.viewport(tt.copy(Ct).multiplyScalar(an()).round())},this.getScissor=function(v){return v.copy(Kt)},this.setScissor=function(v,I,k,U){v.isVector4?Kt.set(v.x,v.y,v.z,v.w):Kt.set(v,I,k,U),dt.scissor(bt.copy(Kt).multiplyScalar(an()).round())},this.getScissorTest=function(){return te},this.setScissorTest=function(v){dt.setScissorTest(te=v)},this.setOpaqueSort=function(v){Ot=v},this.setTransparentSort=function(v){me=v},this.getClearColor=function(v){return v.copy(C.getClearColor())},this.setClearColor=function(){C.setClearColor(...arguments)},this.getClearAlpha=function(){return C.getClearAlpha()},this.setClearAlpha=function(){C.setClearAlpha(...arguments)},this.clear=function(v=!0,I=!0,k=!0){let U=0;if(v){let F=!1;if(nt!==null){let ut=nt.texture.format;F=p.has(ut)}if(F){let ut=nt.texture.type,vt=m.has(ut),ct=C.getClearColor(),_t=C.getClearAlpha(),wt=ct.r,Ut=ct.g,Vt=ct.b;vt?(S[0]=wt,S[1]=Ut,S[2]=Vt,S[3]=_t,N.clearBufferuiv(N.COLOR,0,S)):(R[0]=wt,R[1]=Ut,R[2]=Vt,R[3]=_t,N.clearBufferiv(N.COLOR,0,R))}else U|=N.COLOR_BUFFER_BIT}I&&(U|=N.DEPTH_BUFFER_BIT,this.state.buffers.depth.setMask(!0)),k&&(U|=N.STENCIL_BUFFER_BIT,this.state.buffers.stencil.setMask(4294967295)),U!==0&&N.clear(U)},this.clearColor=function(){this.clear(!0,!1,!1)},this.clearDepth=function(){this.clear(!1,!0,!1)},this.clearStencil=function(){this.clear(!1,!1,!0)},this.setNodesHandler=function(v){v.setRenderer(this),G=v},this.dispose=function(){e.removeEventListener("webglcontextlost",At,!1),e.removeEventListener("webglcontextrestored",Ft,!1),e.removeEventListener("webglcontextcreationerror",ft,!1),C.dispose(),ht.dispose(),q.dispose(),Nt.dispose(),Rt.dispose(),b.dispose(),et.dispose(),O.dispose(),ot.dispose(),Tt.dispose(),j.dispose(),it.dispose(),it.removeEventListener("sessionstart",rh),it.removeEventListener("sessionend",oh),xi.stop()};function At(v){v.preventDefault(),Hs("WebGLRenderer: Context Lost."),D=!0}function Ft(){Hs("WebGLRenderer: Context Restored."),D=!1;let v=ye.autoReset,I=at.enabled,k=at.autoUpdate,U=at.needsUpdate,F=at.type;Bt(),ye.autoReset=v,at.enabled=I,at.autoUpdate=k,at.needsUpdate=U,at.type=F}function ft(v){Pt("WebGLRenderer: A WebGL context could not be created. Reason: ",v.statusMessage)}function jt(v){let I=v.target;I.removeEventListener("dispose",jt),we(I)}function we(v){ti(v),Rt.remove(v)}function ti(v){let I=Rt.get(v).programs;I!==void 0&&(I.forEach(function(k){j.releaseProgram(k)}),v.isShaderMaterial&&j.releaseShaderCache(v))}this.renderBufferDirect=function(v,I,k,U,F,ut){I===null&&(I=rn);let vt=F.isMesh&&F.matrixWorld.determinantAffine()<0,ct=Em(v,I,k,U,F);dt.setMaterial(U,vt);let _t=k.index,wt=1;if(U.wireframe===!0){if(_t=O.getWireframeAttribute(k),_t===void 0)return;wt=2}let Ut=k.drawRange,Vt=k.attributes.position,Mt=Ut.start*wt,Ht=(Ut.start+Ut.count)*wt;ut!==null&&(Mt=Math.max(Mt,ut.start*wt),Ht=Math.min(Ht,(ut.start+ut.count)*wt)),_t!==null?(Mt=Math.max(Mt,0),Ht=Math.min(Ht,_t.count)):Vt!=null&&(Mt=Math.max(Mt,0),Ht=Math.min(Ht,Vt.count));let ge=Ht-Mt;if(ge<0||ge===1/0)return;ot.setup(F,U,ct,k,_t);let ne,ee=H;if(_t!==null&&(ne=x.get(_t),ee=lt,ee.setIndex(ne)),F.isMesh)U.wireframe===!0?(dt.setLineWidth(U.wireframeLinewidth*an()),ee.setMode(N.LINES)):ee.setMode(N.TRIANGLES);else if(F.isLine){let Ie=U.linewidth;Ie===void 0&&(Ie=1),dt.setLineWidth(Ie*an()),F.isLineSegments?ee.setMode(N.LINES):F.isLineLoop?ee.setMode(N.LINE_LOOP):ee.setMode(N.LINE_STRIP)}else F.isPoints?ee.setMode(N.POINTS):F.isSprite&&ee.setMode(N.TRIANGLES);if(F.isBatchedMesh)if(re.get("WEBGL_multi_draw"))ee.renderMultiDraw(F._multiDrawStarts,F._multiDrawCounts,F._multiDrawCount);else{let Ie=F._multiDrawStarts,St=F._multiDrawCounts,Be=F._multiDrawCount,Zt=_t?x.get(_t).bytesPerElement:1,vi=Rt.get(U).currentProgram.getUniforms();for(let Pe=0;Pe<Be;Pe++)vi.setValue(N,"_gl_DrawID",Pe),ee.render(Ie[Pe]/Zt,St[Pe])}else if(F.isInstancedMesh)ee.renderInstances(Mt,ge,F.count);else if(k.isInstancedBufferGeometry){let Ie=k._maxInstanceCount!==void 0?k._maxInstanceCount:1/0,St=Math.min(k.instanceCount,Ie);ee.renderInstances(Mt,ge,St)}else ee.render(Mt,ge)};function sh(v,I,k,U){G!==null&&v.isNodeMaterial&&G.setObject(U,v),ve===!0&&Y.setState(v,k,!1),v.transparent===!0&&v.side===tn&&v.forceSinglePass===!1?(v.side=Ge,v.needsUpdate=!0,Ms(v,I,U),v.side=gn,v.needsUpdate=!0,Ms(v,I,U),v.side=tn):Ms(v,I,U)}this.compile=function(v,I,k=null){k===null&&(k=v),G!==null&&G.renderStart(v,I,k),A=q.get(k),A.init(I),w.push(A),k.traverseVisible(function(F){F.isLight&&F.layers.test(I.layers)&&(A.pushLight(F),F.castShadow&&A.pushShadow(F))}),v!==k&&v.traverseVisible(function(F){F.isLight&&F.layers.test(I.layers)&&(A.pushLight(F),F.castShadow&&A.pushShadow(F))}),A.setupLights(),G!==null&&G.updateLights(A.state.lightsArray),Ve=this.localClippingEnabled,ve=Y.init(this.clippingPlanes,Ve),ve===!0&&Y.setGlobalState(this.clippingPlanes,I),G!==null&&at.render(A.state.shadowsArray,k,I);let U=new Set;return v.traverse(function(F){if(!(F.isMesh||F.isPoints||F.isLine||F.isSprite))return;let ut=F.material;if(ut)if(Array.isArray(ut))for(let vt=0;vt<ut.length;vt++){let ct=ut[vt];sh(ct,k,I,F),U.add(ct)}else sh(ut,k,I,F),U.add(ut)}),A=w.pop(),G!==null&&G.renderEnd(),U},this.compileAsync=function(v,I,k=null){let U=this.compile(v,I,k);return new Promise(F=>{function ut(){if(U.forEach(function(vt){let _t=Rt.get(vt).currentProgram;(_t===void 0||_t.isReady())&&U.delete(vt)}),U.size===0){F(v);return}setTimeout(ut,10)}re.get("KHR_parallel_shader_compile")!==null?ut():setTimeout(ut,10)})};let Za=null;function Tm(v){Za&&Za(v)}function rh(){xi.stop()}function oh(){xi.start()}let xi=new Ld;xi.setAnimationLoop(Tm),typeof self<"u"&&xi.setContext(self),this.setAnimationLoop=function(v){Za=v,it.setAnimationLoop(v),v===null?xi.stop():xi.start()},it.addEventListener("sessionstart",rh),it.addEventListener("sessionend",oh),this.render=function(v,I){if(I!==void 0&&I.isCamera!==!0){Pt("WebGLRenderer.render: camera is not an instance of THREE.Camera.");return}if(D===!0)return;G!==null&&G.renderStart(v,I);let k=it.enabled===!0&&it.isPresenting===!0,U=B!==null&&(nt===null||k)&&B.begin(L,nt);if(v.matrixWorldAutoUpdate===!0&&v.updateMatrixWorld(),I.parent===null&&I.matrixWorldAutoUpdate===!0&&I.updateMatrixWorld(),it.enabled===!0&&it.isPresenting===!0&&(B===null||B.isCompositing()===!1)&&(it.cameraAutoUpdate===!0&&it.updateCamera(I),I=it.getCamera()),v.isScene===!0&&v.onBeforeRender(L,v,I,nt),A=q.get(v,w.length),A.init(I),A.state.textureUnits=Nt.getTextureUnits(),w.push(A),ce.multiplyMatrices(I.projectionMatrix,I.matrixWorldInverse),I.isArrayCamera?Re.setFromArrayCamera(I):Gt.setFromProjectionMatrix(ce,dn,I.reversedDepth),Ve=this.localClippingEnabled,ve=Y.init(this.clippingPlanes,Ve),E=ht.get(v,_.length),E.init(),_.push(E),this.info.render.frame++,it.enabled===!0&&it.isPresenting===!0){let vt=L.xr.getDepthSensingMesh();vt!==null&&Ja(vt,I,-1/0,L.sortObjects)}Ja(v,I,0,L.sortObjects),E.finish(),G!==null&&G.updateLights(A.state.lightsArray),L.sortObjects===!0&&E.sort(Ot,me),on=it.enabled===!1||it.isPresenting===!1||it.hasDepthSensing()===!1,on&&C.addToRenderList(E,v),this.info.autoReset===!0&&this.info.reset(),ve===!0&&Y.beginShadows();let F=A.state.shadowsArray;if(at.render(F,v,I),ve===!0&&Y.endShadows(),(U&&B.hasRenderPass())===!1){let vt=E.opaque,ct=E.transmissive;if(A.setupLights(),I.isArrayCamera){let _t=I.cameras;if(ct.length>0)for(let wt=0,Ut=_t.length;wt<Ut;wt++){let Vt=_t[wt];lh(vt,ct,v,Vt)}on&&C.render(v);for(let wt=0,Ut=_t.length;wt<Ut;wt++){let Vt=_t[wt];ah(E,v,Vt,Vt.viewport)}}else ct.length>0&&lh(vt,ct,v,I),on&&C.render(v),ah(E,v,I)}nt!==null&&V===0&&(Nt.updateMultisampleRenderTarget(nt),Nt.updateRenderTargetMipmap(nt)),U&&B.end(L),v.isScene===!0&&v.onAfterRender(L,v,I),ot.resetDefaultState(),W=-1,Q=null,w.pop(),w.length>0?(A=w[w.length-1],Nt.setTextureUnits(A.state.textureUnits),ve===!0&&Y.setGlobalState(L.clippingPlanes,A.state.camera)):A=null,_.pop(),_.length>0?E=_[_.length-1]:E=null,G!==null&&G.renderEnd()};function Ja(v,I,k,U){if(v.visible===!1)return;if(v.layers.test(I.layers)){if(v.isGroup)k=v.renderOrder;else if(v.isLOD)v.autoUpdate===!0&&v.update(I);else if(v.isLight)A.pushLight(v),v.castShadow&&A.pushShadow(v);else if(v.isSprite){let vt=I.isArrayCamera?Re:Gt;if(!v.frustumCulled||v.intersectsFrustum(vt)){U&&be.setFromMatrixPosition(v.matrixWorld).applyMatrix4(ce);let ct=et.update(v),_t=v.material;_t.visible&&E.push(v,ct,_t,k,be.z,null,I)}}else if(v.isMesh||v.isLine||v.isPoints){let vt=I.isArrayCamera?Re:Gt;if(!v.frustumCulled||v.intersectsFrustum(vt)){let ct=et.update(v),_t=v.material;if(U&&(v.boundingSphere!==void 0?(v.boundingSphere===null&&v.computeBoundingSphere(),be.copy(v.boundingSphere.center)):(ct.boundingSphere===null&&ct.computeBoundingSphere(),be.copy(ct.boundingSphere.center)),be.applyMatrix4(v.matrixWorld).applyMatrix4(ce)),Array.isArray(_t)){let wt=ct.groups;for(let Ut=0,Vt=wt.length;Ut<Vt;Ut++){let Mt=wt[Ut],Ht=_t[Mt.materialIndex];Ht&&Ht.visible&&E.push(v,ct,Ht,k,be.z,Mt,I)}}else _t.visible&&E.push(v,ct,_t,k,be.z,null,I)}}}let ut=v.children;for(let vt=0,ct=ut.length;vt<ct;vt++)Ja(ut[vt],I,k,U)}function ah(v,I,k,U){let{opaque:F,transmissive:ut,transparent:vt}=v;A.setupLightsView(k),ve===!0&&Y.setGlobalState(L.clippingPlanes,k),U&&dt.viewport(tt.copy(U)),F.length>0&&Er(F,I,k),ut.length>0&&Er(ut,I,k),vt.length>0&&Er(vt,I,k),dt.buffers.depth.setTest(!0),dt.buffers.depth.setMask(!0),dt.buffers.color.setMask(!0),dt.setPolygonOffset(!1)}function lh(v,I,k,U){if((k.isScene===!0?k.overrideMaterial:null)!==null)return;if(A.state.transmissionRenderTarget[U.id]===void 0){let Mt=re.has("EXT_color_buffer_half_float")||re.has("EXT_color_buffer_float");A.state.transmissionRenderTarget[U.id]=new je(1,1,{generateMipmaps:!0,type:Mt?wn:en,minFilter:Jn,samples:Math.max(4,oe.samples),stencilBuffer:r,resolveDepthBuffer:!1,resolveStencilBuffer:!1,storeMultisampledDepthBuffer:!1,storeMultisampledStencilBuffer:!1,colorSpace:zt.workingColorSpace})}let ut=A.state.transmissionRenderTarget[U.id],vt=U.viewport||tt;ut.setSize(vt.z*L.transmissionResolutionScale,vt.w*L.transmissionResolutionScale);let ct=L.getRenderTarget(),_t=L.getActiveCubeFace(),wt=L.getActiveMipmapLevel();L.setRenderTarget(ut),L.getClearColor(Z),mt=L.getClearAlpha(),mt<1&&L.setClearColor(16777215,.5),L.clear(),on&&C.render(k);let Ut=L.toneMapping;L.toneMapping=Dn;let Vt=U.viewport;if(U.viewport!==void 0&&(U.viewport=void 0),A.setupLightsView(U),ve===!0&&Y.setGlobalState(L.clippingPlanes,U),Er(v,k,U),Nt.updateMultisampleRenderTarget(ut),Nt.updateRenderTargetMipmap(ut),re.has("WEBGL_multisampled_render_to_texture")===!1){let Mt=!1;for(let Ht=0,ge=I.length;Ht<ge;Ht++){let ne=I[Ht],{object:ee,geometry:Ie,material:St,group:Be}=ne;if(St.side===tn&&ee.layers.test(U.layers)){let Zt=St.side;St.side=Ge,St.needsUpdate=!0,ch(ee,k,U,Ie,St,Be),St.side=Zt,St.needsUpdate=!0,Mt=!0}}Mt===!0&&(Nt.updateMultisampleRenderTarget(ut),Nt.updateRenderTargetMipmap(ut))}L.setRenderTarget(ct,_t,wt),L.setClearColor(Z,mt),Vt!==void 0&&(U.viewport=Vt),L.toneMapping=Ut}function Er(v,I,k){let U=I.isScene===!0?I.overrideMaterial:null;for(let F=0,ut=v.length;F<ut;F++){let vt=v[F],{object:ct,geometry:_t,group:wt}=vt,Ut=vt.material;Ut.allowOverride===!0&&U!==null&&(Ut=U),ct.layers.test(k.layers)&&ch(ct,I,k,_t,Ut,wt)}}function ch(v,I,k,U,F,ut){G!==null&&F.isNodeMaterial&&G.setObject(v,F),v.onBeforeRender(L,I,k,U,F,ut),v.modelViewMatrix.multiplyMatrices(k.matrixWorldInverse,v.matrixWorld),v.normalMatrix.getNormalMatrix(v.modelViewMatrix),F.onBeforeRender(L,I,k,U,v,ut),F.transparent===!0&&F.side===tn&&F.forceSinglePass===!1?(F.side=Ge,F.needsUpdate=!0,L.renderBufferDirect(k,I,U,F,v,ut),F.side=gn,F.needsUpdate=!0,L.renderBufferDirect(k,I,U,F,v,ut),F.side=tn):L.renderBufferDirect(k,I,U,F,v,ut),v.onAfterRender(L,I,k,U,F,ut)}function hh(v){let I=0;for(let k of v)k.texture!==null&&I++;return I}function Ms(v,I,k){I.isScene!==!0&&(I=rn);let U=Rt.get(v),F=A.state.lights,ut=A.state.shadowsArray,vt=F.state.version,ct=j.getParameters(v,F.state,ut,I,k,A.state.lightProbeGridArray),_t=j.getProgramCacheKey(ct),wt=U.programs;U.environment=v.isMeshStandardMaterial||v.isMeshLambertMaterial||v.isMeshPhongMaterial?I.environment:null,U.fog=I.fog;let Ut=v.isMeshStandardMaterial||v.isMeshLambertMaterial&&!v.envMap||v.isMeshPhongMaterial&&!v.envMap;U.envMap=b.get(v.envMap||U.environment,Ut),U.envMapRotation=U.environment!==null&&v.envMap===null?I.environmentRotation:v.envMapRotation,wt===void 0&&(v.addEventListener("dispose",jt),wt=new Map,U.programs=wt,U.programVariants=new Map);let Vt=wt.get(_t);if(Vt!==void 0){if(U.currentProgram===Vt&&U.lightsStateVersion===vt)return dh(v,ct),Vt}else ct.uniforms=j.getUniforms(v),G!==null&&v.isNodeMaterial&&G.build(v,k,ct),v.onBeforeCompile(ct,L),Vt=j.acquireProgram(ct,_t),wt.set(_t,Vt),U.uniforms=ct.uniforms;let Mt=U.uniforms;return(!v.isShaderMaterial&&!v.isRawShaderMaterial||v.clipping===!0)&&(Mt.clippingPlanes=Y.uniform),dh(v,ct),U.needsLights=Cm(v),U.lightsStateVersion=vt,U.needsLights&&(Mt.ambientLightColor.value=F.state.ambient,Mt.lightProbe.value=F.state.probe,Mt.sunLights.value=F.state.sun,Mt.sunLightShadows.value=F.state.sunShadow,Mt.directionalLights.value=F.state.directional,Mt.directionalLightShadows.value=F.state.directionalShadow,Mt.spotLights.value=F.state.spot,Mt.spotLightShadows.value=F.state.spotShadow,Mt.rectAreaLights.value=F.state.rectArea,Mt.ltc_1.value=F.state.rectAreaLTC1,Mt.ltc_2.value=F.state.rectAreaLTC2,Mt.pointLights.value=F.state.point,Mt.pointLightShadows.value=F.state.pointShadow,Mt.hemisphereLights.value=F.state.hemi,Mt.sunShadowMatrix.value=F.state.sunShadowMatrix,Mt.sunShadowCascade.value=F.state.sunShadowCascade,Mt.directionalShadowMatrix.value=F.state.directionalShadowMatrix,Mt.spotLightMatrix.value=F.state.spotLightMatrix,Mt.spotLightMap.value=F.state.spotLightMap,Mt.pointShadowMatrix.value=F.state.pointShadowMatrix),U.numLightProbeGrids=hh(A.state.lightProbeGridArray),U.currentProgram=Vt,U.uniformsList=null,Vt}function Am(v,I,k,U,F){let ut=Rt.get(v),vt=ut.currentProgram.id+","+U+","+F,ct=ut.programVariants.get(vt);return ct===void 0?(ct=Ms(v,I,k),ut.programVariants.set(vt,ct)):(ut.currentProgram=ct,ut.uniformsList=null,ut.outputColorSpace=U,ut.toneMapping=F),ct}function uh(v){if(v.uniformsList===null){let I=v.currentProgram.getUniforms();v.uniformsList=ms.seqWithValue(I.seq,v.uniforms)}return v.uniformsList}function dh(v,I){let k=Rt.get(v);k.outputColorSpace=I.outputColorSpace,k.batching=I.batching,k.batchingColor=I.batchingColor,k.instancing=I.instancing,k.instancingColor=I.instancingColor,k.instancingMorph=I.instancingMorph,k.skinning=I.skinning,k.morphTargets=I.morphTargets,k.morphNormals=I.morphNormals,k.morphColors=I.morphColors,k.morphTargetsCount=I.morphTargetsCount,k.numClippingPlanes=I.numClippingPlanes,k.numIntersection=I.numClipIntersection,k.vertexAlphas=I.vertexAlphas,k.vertexTangents=I.vertexTangents,k.toneMapping=I.toneMapping}function Em(v,I,k,U,F){I.isScene!==!0&&(I=rn),Nt.resetTextureUnits();let ut=I.fog,vt=U.isMeshStandardMaterial||U.isMeshLambertMaterial||U.isMeshPhongMaterial?I.environment:null,ct=nt===null?L.outputColorSpace:nt.isXRRenderTarget===!0?nt.texture.colorSpace:zt.workingColorSpace,_t=U.isMeshStandardMaterial||U.isMeshLambertMaterial&&!U.envMap||U.isMeshPhongMaterial&&!U.envMap,wt=b.get(U.envMap||vt,_t),Ut=U.vertexColors===!0&&!!k.attributes.color&&k.attributes.color.itemSize===4,Vt=!!k.attributes.tangent&&(!!U.normalMap||U.anisotropy>0),Mt=!!k.morphAttributes.position,Ht=!!k.morphAttributes.normal,ge=!!k.morphAttributes.color,ne=Dn;U.toneMapped&&(nt===null||nt.isXRRenderTarget===!0)&&(ne=L.toneMapping);let ee=k.morphAttributes.position||k.morphAttributes.normal||k.morphAttributes.color,Ie=ee!==void 0?ee.length:0,St=Rt.get(U),Be=A.state.lights;if(ve===!0&&(Ve===!0||v!==Q)){let he=v===Q&&U.id===W;Y.setState(U,v,he)}let Zt=!1,vi=!1;U.version===St.__version?St.needsLights&&St.lightsStateVersion!==Be.state.version||F.isBatchedMesh&&St.batching===!1||!F.isBatchedMesh&&St.batching===!0||F.isBatchedMesh&&St.batchingColor===!0&&F._colorsTexture===null||F.isBatchedMesh&&St.batchingColor===!1&&F._colorsTexture!==null||F.isInstancedMesh&&St.instancing===!1||!F.isInstancedMesh&&St.instancing===!0||F.isSkinnedMesh&&St.skinning===!1||!F.isSkinnedMesh&&St.skinning===!0||F.isInstancedMesh&&St.instancingColor===!0&&F.instanceColor===null||F.isInstancedMesh&&St.instancingColor===!1&&F.instanceColor!==null||F.isInstancedMesh&&St.instancingMorph===!0&&F.morphTexture===null||F.isInstancedMesh&&St.instancingMorph===!1&&F.morphTexture!==null||St.envMap!==wt||U.fog===!0&&St.fog!==ut||St.numClippingPlanes!==void 0&&(St.numClippingPlanes!==Y.numPlanes||St.numIntersection!==Y.numIntersection)||St.vertexAlphas!==Ut||St.vertexTangents!==Vt||St.morphTargets!==Mt||St.morphNormals!==Ht||St.morphColors!==ge||St.morphTargetsCount!==Ie||St.numLightProbeGrids!==hh(A.state.lightProbeGridArray)?Zt=!0:(St.outputColorSpace!==ct||St.toneMapping!==ne)&&(vi=!0):(Zt=!0,St.__version=U.version);let Pe=St.currentProgram;(Zt===!0||vi===!0)&&(Pe=vi===!0?Am(U,I,F,ct,ne):Ms(U,I,F),G&&U.isNodeMaterial&&G.onUpdateProgram(U,Pe,St));let Rr=!1,ei=!1,yi=!1,$t=Pe.getUniforms(),Ce=St.uniforms;if(dt.useProgram(Pe.program)&&(Rr=!0,ei=!0,yi=!0),U.id!==W&&(W=U.id,ei=!0),Rr||Q!==v){dt.buffers.depth.getReversed()&&v.reversedDepth!==!0&&(v._reversedDepth=!0,v.updateProjectionMatrix()),$t.setValue(N,"projectionMatrix",v.projectionMatrix),$t.setValue(N,"viewMatrix",v.matrixWorldInverse);let Te=$t.map.cameraPosition;Te!==void 0&&Te.setValue(N,Tn.setFromMatrixPosition(v.matrixWorld)),oe.logarithmicDepthBuffer&&$t.setValue(N,"logDepthBufFC",2/(Math.log(v.far+1)/Math.LN2)),(U.isMeshPhongMaterial||U.isMeshToonMaterial||U.isMeshLambertMaterial||U.isMeshBasicMaterial||U.isMeshStandardMaterial||U.isShaderMaterial)&&$t.setValue(N,"isOrthographic",v.isOrthographicCamera===!0),Q!==v&&(Q=v,ei=!0,yi=!0)}if(St.needsLights&&(Be.state.sunShadowMap.length>0&&$t.setValue(N,"sunShadowMap",Be.state.sunShadowMap,Nt),Be.state.directionalShadowMap.length>0&&$t.setValue(N,"directionalShadowMap",Be.state.directionalShadowMap,Nt),Be.state.spotShadowMap.length>0&&$t.setValue(N,"spotShadowMap",Be.state.spotShadowMap,Nt),Be.state.pointShadowMap.length>0&&$t.setValue(N,"pointShadowMap",Be.state.pointShadowMap,Nt)),F.isSkinnedMesh){$t.setOptional(N,F,"bindMatrix"),$t.setOptional(N,F,"bindMatrixInverse");let he=F.skeleton;he&&(he.boneTexture===null&&he.computeBoneTexture(),$t.setValue(N,"boneTexture",he.boneTexture,Nt))}F.isBatchedMesh&&($t.setOptional(N,F,"batchingTexture"),$t.setValue(N,"batchingTexture",F._matricesTexture,Nt),$t.setOptional(N,F,"batchingIdTexture"),$t.setValue(N,"batchingIdTexture",F._indirectTexture,Nt),$t.setOptional(N,F,"batchingColorTexture"),F._colorsTexture!==null&&$t.setValue(N,"batchingColorTexture",F._colorsTexture,Nt));let _n=k.morphAttributes;if((_n.position!==void 0||_n.normal!==void 0||_n.color!==void 0)&&J.update(F,k,Pe),(ei||St.receiveShadow!==F.receiveShadow)&&(St.receiveShadow=F.receiveShadow,$t.setValue(N,"receiveShadow",F.receiveShadow)),(U.isMeshStandardMaterial||U.isMeshLambertMaterial||U.isMeshPhongMaterial)&&U.envMap===null&&I.environment!==null&&(Ce.envMapIntensity.value=I.environmentIntensity),Ce.dfgLUT!==void 0&&(Ce.dfgLUT.value=aM()),ei){if($t.setValue(N,"toneMappingExposure",L.toneMappingExposure),St.needsLights&&Rm(Ce,yi),ut&&U.fog===!0&&rt.refreshFogUniforms(Ce,ut),rt.refreshMaterialUniforms(Ce,U,gt,Et,A.state.transmissionRenderTarget[v.id]),St.needsLights&&St.numLightProbeGrids>0){let he=T,Te=0;for(let kn of A.state.lightProbeGridArray)kn.texture!==null&&(he.textures[Te]=kn.texture,he.min[Te]=kn.boundingBox.min,he.max[Te]=kn.boundingBox.max,he.resolution[Te]=kn.resolution,Te++);for(let kn in he)he[kn].length=Te;Ce.probesSH.value=he.textures,Ce.probesMin.value=he.min,Ce.probesMax.value=he.max,Ce.probesResolution.value=he.resolution}ms.upload(N,uh(St),Ce,Nt)}if(U.isShaderMaterial&&U.uniformsNeedUpdate===!0&&(ms.upload(N,uh(St),Ce,Nt),U.uniformsNeedUpdate=!1),U.isSpriteMaterial&&$t.setValue(N,"center",F.center),$t.setValue(N,"modelViewMatrix",F.modelViewMatrix),$t.setValue(N,"normalMatrix",F.normalMatrix),$t.setValue(N,"modelMatrix",F.matrixWorld),U.uniformsGroups!==void 0){let he=U.uniformsGroups;for(let Te=0,kn=he.length;Te<kn;Te++){let ph=he[Te];Tt.update(ph,Pe),Tt.bind(ph,Pe)}}return Pe}function Rm(v,I){v.ambientLightColor.needsUpdate=I,v.lightProbe.needsUpdate=I,v.sunLights.needsUpdate=I,v.sunLightShadows.needsUpdate=I,v.directionalLights.needsUpdate=I,v.directionalLightShadows.needsUpdate=I,v.pointLights.needsUpdate=I,v.pointLightShadows.needsUpdate=I,v.spotLights.needsUpdate=I,v.spotLightShadows.needsUpdate=I,v.rectAreaLights.needsUpdate=I,v.hemisphereLights.needsUpdate=I}function Cm(v){return v.isMeshLambertMaterial||v.isMeshToonMaterial||v.isMeshPhongMaterial||v.isMeshStandardMaterial||v.isShadowMaterial||v.isShaderMaterial&&v.lights===!0}this.getActiveCubeFace=function(){return K},this.getActiveMipmapLevel=function(){return V},this.getRenderTarget=function(){return nt},this.setRenderTargetTextures=function(v,I,k){let U=Rt.get(v);U.__autoAllocateDepthBuffer=v.resolveDepthBuffer===!1,U.__autoAllocateDepthBuffer===!1&&(U.__useRenderToTexture=!1),Rt.get(v.texture).__webglTexture=I,Rt.get(v.depthTexture).__webglTexture=U.__autoAllocateDepthBuffer?void 0:k,U.__hasExternalTextures=!0},this.setRenderTargetFramebuffer=function(v,I){let k=Rt.get(v);k.__webglFramebuffer=I,k.__useDefaultFramebuffer=I===void 0},this.setRenderTarget=function(v,I=0,k=0){nt=v,K=I,V=k;let U=null,F=!1,ut=!1;if(v){let ct=Rt.get(v);if(ct.__useDefaultFramebuffer!==void 0){dt.bindFramebuffer(N.FRAMEBUFFER,ct.__webglFramebuffer),tt.copy(v.viewport),bt.copy(v.scissor),Dt=v.scissorTest,dt.viewport(tt),dt.scissor(bt),dt.setScissorTest(Dt),W=-1;return}else if(ct.__webglFramebuffer===void 0)Nt.setupRenderTarget(v);else if(ct.__hasExternalTextures)Nt.rebindTextures(v,Rt.get(v.texture).__webglTexture,Rt.get(v.depthTexture).__webglTexture);else if(v.depthBuffer){let Ut=v.depthTexture;if(ct.__boundDepthTexture!==Ut){if(Ut!==null&&Rt.has(Ut)&&(v.width!==Ut.image.width||v.height!==Ut.image.height))throw new Error("THREE.WebGLRenderer: Attached DepthTexture is initialized to the incorrect size.");Nt.setupDepthRenderbuffer(v)}}let _t=v.texture;(_t.isData3DTexture||_t.isDataArrayTexture||_t.isCompressedArrayTexture)&&(ut=!0);let wt=Rt.get(v).__webglFramebuffer;v.isWebGLCubeRenderTarget?(Array.isArray(wt[I])?U=wt[I][k]:U=wt[I],F=!0):v.samples>0&&Nt.useMultisampledRTT(v)===!1?U=Rt.get(v).__webglMultisampledFramebuffer:Array.isArray(wt)?U=wt[k]:U=wt,tt.copy(v.viewport),bt.copy(v.scissor),Dt=v.scissorTest}else tt.copy(Ct).multiplyScalar(gt).floor(),bt.copy(Kt).multiplyScalar(gt).floor(),Dt=te;if(k!==0&&(U=$),dt.bindFramebuffer(N.FRAMEBUFFER,U)&&dt.drawBuffers(v,U),dt.viewport(tt),dt.scissor(bt),dt.setScissorTest(Dt),F){let ct=Rt.get(v.texture);N.framebufferTexture2D(N.FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_CUBE_MAP_POSITIVE_X+I,ct.__webglTexture,k)}else if(ut){let ct=I;for(let _t=0;_t<v.textures.length;_t++){let wt=Rt.get(v.textures[_t]);N.framebufferTextureLayer(N.FRAMEBUFFER,N.COLOR_ATTACHMENT0+_t,wt.__webglTexture,k,ct)}}else if(v!==null&&k!==0){let ct=Rt.get(v.texture);N.framebufferTexture2D(N.FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_2D,ct.__webglTexture,k)}W=-1};function fh(v){let I=Rt.get(v);return(I.__readFormat!==v.format||I.__readType!==v.type)&&(I.__readFormat=v.format,I.__readType=v.type,I.__formatReadable=oe.textureFormatReadable(v.format),I.__typeReadable=oe.textureTypeReadable(v.type)),I}this.readRenderTargetPixels=function(v,I,k,U,F,ut,vt,ct=0){if(!(v&&v.isWebGLRenderTarget)){Pt("WebGLRenderer.readRenderTargetPixels: renderTarget is not THREE.WebGLRenderTarget.");return}let _t=Rt.get(v).__webglFramebuffer;if(v.isWebGLCubeRenderTarget&&vt!==void 0&&(_t=_t[vt],Array.isArray(_t)&&(_t=_t[0])),_t){dt.bindFramebuffer(N.FRAMEBUFFER,_t);try{let wt=v.textures[ct],Ut=wt.format,Vt=wt.type;v.textures.length>1&&N.readBuffer(N.COLOR_ATTACHMENT0+ct);let Mt=fh(wt);if(Mt.__formatReadable===!1){Pt("WebGLRenderer.readRenderTargetPixels: renderTarget is not in RGBA or implementation defined format.");return}if(Mt.__typeReadable===!1){Pt("WebGLRenderer.readRenderTargetPixels: renderTarget is not in UnsignedByteType or implementation defined type.");return}I>=0&&I<=v.width-U&&k>=0&&k<=v.height-F&&N.readPixels(I,k,U,F,st.convert(Ut),st.convert(Vt),ut)}finally{let wt=nt!==null?Rt.get(nt).__webglFramebuffer:null;dt.bindFramebuffer(N.FRAMEBUFFER,wt)}}},this.readRenderTargetPixelsAsync=async function(v,I,k,U,F,ut,vt,ct=0){if(!(v&&v.isWebGLRenderTarget))throw new Error("THREE.WebGLRenderer.readRenderTargetPixels: renderTarget is not THREE.WebGLRenderTarget.");let _t=Rt.get(v).__webglFramebuffer;if(v.isWebGLCubeRenderTarget&&vt!==void 0&&(_t=_t[vt],Array.isArray(_t)&&(_t=_t[0])),_t)if(I>=0&&I<=v.width-U&&k>=0&&k<=v.height-F){dt.bindFramebuffer(N.FRAMEBUFFER,_t);let wt=v.textures[ct],Ut=wt.format,Vt=wt.type;v.textures.length>1&&N.readBuffer(N.COLOR_ATTACHMENT0+ct);let Mt=fh(wt);if(Mt.__formatReadable===!1)throw new Error("THREE.WebGLRenderer.readRenderTargetPixelsAsync: renderTarget is not in RGBA or implementation defined format.");if(Mt.__typeReadable===!1)throw new Error("THREE.WebGLRenderer.readRenderTargetPixelsAsync: renderTarget is not in UnsignedByteType or implementation defined type.");let Ht=N.createBuffer();N.bindBuffer(N.PIXEL_PACK_BUFFER,Ht),N.bufferData(N.PIXEL_PACK_BUFFER,ut.byteLength,N.STREAM_READ),N.readPixels(I,k,U,F,st.convert(Ut),st.convert(Vt),0),N.bindBuffer(N.PIXEL_PACK_BUFFER,null);let ge=nt!==null?Rt.get(nt).__webglFramebuffer:null;dt.bindFramebuffer(N.FRAMEBUFFER,ge);let ne=N.fenceSync(N.SYNC_GPU_COMMANDS_COMPLETE,0);return N.flush(),await nd(N,ne,4),N.bindBuffer(N.PIXEL_PACK_BUFFER,Ht),N.getBufferSubData(N.PIXEL_PACK_BUFFER,0,ut),N.bindBuffer(N.PIXEL_PACK_BUFFER,null),N.deleteBuffer(Ht),N.deleteSync(ne),ut}else throw new Error("THREE.WebGLRenderer.readRenderTargetPixelsAsync: requested read bounds are out of range.")},this.copyFramebufferToTexture=function(v,I=null,k=0){let U=Math.pow(2,-k),F=Math.floor(v.image.width*U),ut=Math.floor(v.image.height*U),vt=I!==null?I.x:0,ct=I!==null?I.y:0;Nt.setTexture2D(v,0),N.copyTexSubImage2D(N.TEXTURE_2D,k,0,0,vt,ct,F,ut),dt.unbindTexture()},this.copyTextureToTexture=function(v,I,k=null,U=null,F=0,ut=0){let vt,ct,_t,wt,Ut,Vt,Mt,Ht,ge,ne=v.isCompressedTexture?v.mipmaps[ut]:v.image;if(k!==null)vt=k.max.x-k.min.x,ct=k.max.y-k.min.y,_t=k.isBox3?k.max.z-k.min.z:1,wt=k.min.x,Ut=k.min.y,Vt=k.isBox3?k.min.z:0;else{let $t=Math.pow(2,-F);vt=Math.floor(ne.width*$t),ct=Math.floor(ne.height*$t),v.isDataArrayTexture?_t=ne.depth:v.isData3DTexture?_t=Math.floor(ne.depth*$t):_t=1,wt=0,Ut=0,Vt=0}U!==null?(Mt=U.x,Ht=U.y,ge=U.z):(Mt=0,Ht=0,ge=0);let ee=st.convert(I.format),Ie=st.convert(I.type),St;I.isData3DTexture?(Nt.setTexture3D(I,0),St=N.TEXTURE_3D):I.isDataArrayTexture||I.isCompressedArrayTexture?(Nt.setTexture2DArray(I,0),St=N.TEXTURE_2D_ARRAY):(Nt.setTexture2D(I,0),St=N.TEXTURE_2D),dt.activeTexture(N.TEXTURE0),dt.pixelStorei(N.UNPACK_FLIP_Y_WEBGL,I.flipY),dt.pixelStorei(N.UNPACK_PREMULTIPLY_ALPHA_WEBGL,I.premultiplyAlpha),dt.pixelStorei(N.UNPACK_ALIGNMENT,I.unpackAlignment);let Be=dt.getParameter(N.UNPACK_ROW_LENGTH),Zt=dt.getParameter(N.UNPACK_IMAGE_HEIGHT),vi=dt.getParameter(N.UNPACK_SKIP_PIXELS),Pe=dt.getParameter(N.UNPACK_SKIP_ROWS),Rr=dt.getParameter(N.UNPACK_SKIP_IMAGES);dt.pixelStorei(N.UNPACK_ROW_LENGTH,ne.width),dt.pixelStorei(N.UNPACK_IMAGE_HEIGHT,ne.height),dt.pixelStorei(N.UNPACK_SKIP_PIXELS,wt),dt.pixelStorei(N.UNPACK_SKIP_ROWS,Ut),dt.pixelStorei(N.UNPACK_SKIP_IMAGES,Vt);let ei=v.isDataArrayTexture||v.isData3DTexture,yi=I.isDataArrayTexture||I.isData3DTexture;if(v.isDepthTexture){let $t=Rt.get(v),Ce=Rt.get(I),_n=Rt.get($t.__renderTarget),he=Rt.get(Ce.__renderTarget);dt.bindFramebuffer(N.READ_FRAMEBUFFER,_n.__webglFramebuffer),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,he.__webglFramebuffer);for(let Te=0;Te<_t;Te++)ei&&(N.framebufferTextureLayer(N.READ_FRAMEBUFFER,N.COLOR_ATTACHMENT0,Rt.get(v).__webglTexture,F,Vt+Te),N.framebufferTextureLayer(N.DRAW_FRAMEBUFFER,N.COLOR_ATTACHMENT0,Rt.get(I).__webglTexture,ut,ge+Te)),N.blitFramebuffer(wt,Ut,wt+vt,Ut+ct,Mt,Ht,Mt+vt,Ht+ct,N.DEPTH_BUFFER_BIT,N.NEAREST);dt.bindFramebuffer(N.READ_FRAMEBUFFER,null),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,null)}else if(F!==0||v.isRenderTargetTexture||Rt.has(v)){let $t=Rt.get(v),Ce=Rt.get(I);dt.bindFramebuffer(N.READ_FRAMEBUFFER,P),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,X);for(let _n=0;_n<_t;_n++)ei?N.framebufferTextureLayer(N.READ_FRAMEBUFFER,N.COLOR_ATTACHMENT0,$t.__webglTexture,F,Vt+_n):N.framebufferTexture2D(N.READ_FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_2D,$t.__webglTexture,F),yi?N.framebufferTextureLayer(N.DRAW_FRAMEBUFFER,N.COLOR_ATTACHMENT0,Ce.__webglTexture,ut,ge+_n):N.framebufferTexture2D(N.DRAW_FRAMEBUFFER,N.COLOR_ATTACHMENT0,N.TEXTURE_2D,Ce.__webglTexture,ut),F!==0?N.blitFramebuffer(wt,Ut,wt+vt,Ut+ct,Mt,Ht,Mt+vt,Ht+ct,N.COLOR_BUFFER_BIT,N.NEAREST):yi?N.copyTexSubImage3D(St,ut,Mt,Ht,ge+_n,wt,Ut,vt,ct):N.copyTexSubImage2D(St,ut,Mt,Ht,wt,Ut,vt,ct);dt.bindFramebuffer(N.READ_FRAMEBUFFER,null),dt.bindFramebuffer(N.DRAW_FRAMEBUFFER,null)}else yi?v.isDataTexture||v.isData3DTexture?N.texSubImage3D(St,ut,Mt,Ht,ge,vt,ct,_t,ee,Ie,ne.data):I.isCompressedArrayTexture?N.compressedTexSubImage3D(St,ut,Mt,Ht,ge,vt,ct,_t,ee,ne.data):N.texSubImage3D(St,ut,Mt,Ht,ge,vt,ct,_t,ee,Ie,ne):v.isDataTexture?N.texSubImage2D(N.TEXTURE_2D,ut,Mt,Ht,vt,ct,ee,Ie,ne.data):v.isCompressedTexture?N.compressedTexSubImage2D(N.TEXTURE_2D,ut,Mt,Ht,ne.width,ne.height,ee,ne.data):N.texSubImage2D(N.TEXTURE_2D,ut,Mt,Ht,vt,ct,ee,Ie,ne);dt.pixelStorei(N.UNPACK_ROW_LENGTH,Be),dt.pixelStorei(N.UNPACK_IMAGE_HEIGHT,Zt),dt.pixelStorei(N.UNPACK_SKIP_PIXELS,vi),dt.pixelStorei(N.UNPACK_SKIP_ROWS,Pe),dt.pixelStorei(N.UNPACK_SKIP_IMAGES,Rr),ut===0&&I.generateMipmaps===!0&&I.mipmapsAutoUpdate===!0&&N.generateMipmap(St),dt.unbindTexture()},this.initRenderTarget=function(v){Rt.get(v).__webglFramebuffer===void 0&&Nt.setupRenderTarget(v)},this.initTexture=function(v){v.isCubeTexture?Nt.setTextureCube(v,0):v.isData3DTexture?Nt.setTexture3D(v,0):v.isDataArrayTexture||v.isCompressedArrayTexture?Nt.setTexture2DArray(v,0):Nt.setTexture2D(v,0),dt.unbindTexture()},this.resetState=function(){K=0,V=0,nt=null,dt.reset(),ot.reset()},typeof __THREE_DEVTOOLS__<"u"&&__THREE_DEVTOOLS__.dispatchEvent(new CustomEvent("observe",{detail:this}))}get coordinateSystem(){return dn}get outputColorSpace(){return this._outputColorSpace}set outputColorSpace(t){this._outputColorSpace=t;let e=this.getContext();e.drawingBufferColorSpace=zt._getDrawingBufferColorSpace(t),e.unpackColorSpace=zt._getUnpackColorSpace()}};var lM=.001,cM=.02,hM=.004;function Ca(n,t){return{eye:[...n.eye],target:[...n.target],up:[...n.up],height:n.height??t.height,parallel:!!n.parallel,aspect:n.aspect??1}}function Fn(n){let t=Ne(qt(n.eye,n.target),[0,-1,0]),e=$e(n.up,t),i=_e(e)>1e-9?Ne(e):Th(t);return{right:i,top:$e(t,i),out:t}}function ki(n,t){return n.height*Math.max(1,(n.aspect??1)/t)}function bc(n,t,e){let i=Fn(n),s=Math.atan2(i.out[2],Math.hypot(i.top[2],i.right[2])||1e-12),r=Math.PI/2-lM,o=Math.max(-r,Math.min(r,s+e))-s,a=c=>As(As(c,i.right,-o),[0,0,1],-t),l=_e(qt(n.eye,n.target));return{...n,eye:ue(n.target,le(a(i.out),l)),up:a(i.top)}}function wc(n,t,e,i){let{right:s,top:r}=Fn(n),o=ki(n,i),a=ue(le(s,-t*o),le(r,-e*o));return{...n,eye:ue(n.eye,a),target:ue(n.target,a)}}function Tc(n,t,e){let i=s=>ue(e,le(qt(s,e),t));return{...n,eye:i(n.eye),target:i(n.target),height:n.height*t}}function Ac(n,t,e,i){let{right:s,top:r,out:o}=Fn(n),a=ki(n,i)/2,l=ue(n.target,ue(le(s,t*a*i),le(r,e*a)));if(!n.parallel)return{from:n.eye,along:Ne(qt(l,n.eye))};let c=_e(qt(n.eye,n.target));return{from:ue(l,le(o,c)),along:le(o,-1)}}function Wd(n,t,e){let{right:i,top:s,out:r}=Fn(n),o=qt(t,n.target),a=_e(qt(n.eye,n.target)),l=a-Qt(o,r),c=n.parallel?1:a/Math.max(l,1e-9),h=ki(n,e)/2;return{x:Qt(o,i)*c/(h*e),y:Qt(o,s)*c/h,depth:l}}function Xd(n,t,e){let i=ki(n,e)/2;return n.parallel?i:i*t/_e(qt(n.eye,n.target))}function qd(n,t,e){let{right:i,top:s,out:r}=Fn(n),o=[i,s,r],a=[];for(let d=0;d<3;d++)a.push(i[d],s[d],r[d],0);a.push(...o.map(d=>-Qt(d,n.eye)),1);let{near:l,far:c}=uM(n,r,e),h=ki(n,t)/2;return{view:a,projection:dM(n,h,t,l,c),near:l,far:c}}function uM(n,t,e){let i=1/0,s=-1/0;for(let l=0;l<8;l++){let c=[0,1,2].map(d=>e[l>>d&1][d]),h=Qt(qt(n.eye,c),t);i=Math.min(i,h),s=Math.max(s,h)}let r=_e(qt(n.eye,n.target)),o=.02*(s-i)+1;if(n.parallel)return{near:i-o,far:s+o};let a=Math.max(cM*r,.05);return{near:Math.max(i-o,a),far:Math.max(s+o,2*a)}}function dM(n,t,e,i,s){let r=t*e;if(n.parallel){let l=s-i;return[1/r,0,0,0,0,1/t,0,0,0,0,-2/l,0,0,0,-(s+i)/l,1]}let o=_e(qt(n.eye,n.target)),a=s-i;return[o/r,0,0,0,0,o/t,0,0,0,0,-(s+i)/a,-1,0,0,-2*s*i/a,0]}function $d(n,t,e){let i=[...Array(8).keys()].flatMap(s=>[0,1,2].map(r=>t[s>>r&1][r]));return Ps(qt(n.eye,n.target),[...n.up],i,e,{parallel:n.parallel})}function Yd(n,t,e){if(e>=1)return Ca(t,t);let[i,s]=[Hd(n),Hd(t)],r=i.height*(s.height/i.height)**e,o=i.slope*(s.slope/i.slope)**e,[a,l]=fM(i,s,e),c=wh(n.target,t.target,e),h=i.aspect+(s.aspect-i.aspect)*e;return{eye:ue(c,le(a,r/(2*o))),target:c,up:l,height:r,parallel:!1,aspect:h}}function Hd(n){let t=_e(qt(n.eye,n.target)),e=n.parallel?hM:n.height/(2*t);return{...Fn(n),height:n.height,aspect:n.aspect??1,slope:e}}function fM(n,t,e){let i=pM(n,t),s=Math.hypot(i[1],i[2],i[3]);if(s<1e-12)return[n.out,n.top];let r=[i[1]/s,i[2]/s,i[3]/s],o=2*Math.atan2(s,i[0])*e;return[As(n.out,r,o),As(n.top,r,o)]}function pM(n,t){let e=(g,M)=>t.right[g]*n.right[M]+t.top[g]*n.top[M]+t.out[g]*n.out[M],i=[1+e(0,0)+e(1,1)+e(2,2),1+e(0,0)-e(1,1)-e(2,2),1-e(0,0)+e(1,1)-e(2,2),1-e(0,0)-e(1,1)+e(2,2)],s=i.indexOf(Math.max(...i)),r=Math.sqrt(i[s]),[o,a,l]=[e(2,1)-e(1,2),e(0,2)-e(2,0),e(1,0)-e(0,1)],[c,h,d]=[e(0,1)+e(1,0),e(1,2)+e(2,1),e(2,0)+e(0,2)],u=[[r*r,o,a,l],[o,r*r,c,d],[a,c,r*r,h],[l,d,h,r*r]][s],f=u[0]<0?-1:1;return u.map(g=>f*g/(2*r))}var Zd=n=>n<.5?4*n*n*n:1-(2-2*n)**3/2;var Ia=`
precision highp float; precision highp int; precision highp sampler2D;
uniform mat4 modelViewMatrix, projectionMatrix;
uniform sampler2D states; uniform vec4 cut; uniform vec2 haze; uniform float dark;
vec4 at(float owner, int place) { return texelFetch(states, ivec2(place, int(owner + 0.5)), 0); }
vec3 ink(float number) { return mod(floor(vec3(number) / vec3(65536.0, 256.0, 1.0)), 256.0) / 255.0; }
float gone(vec3 p) { return dot(cut.xyz, p) - cut.w; }
float hazed(float depth) {
  float far = clamp((depth - haze.x) / max(haze.y - haze.x, 1.0), 0.0, 1.0);
  return mix(0.42, 0.34, dark) * far * far;
}
`,Jd="const vec3 LIGHT = vec3(-0.36, 0.60, 0.71);",Ec={vertexShader:`${Ia}${Jd}
uniform vec3 ground; uniform vec3 sky;
in vec3 position; in vec3 normal; in float owner; in float along;
out vec4 tint; out float beyond;
void main() {
  vec4 eye = modelViewMatrix * vec4(position, 1.0);
  vec3 n = mat3(modelViewMatrix) * normal;
  if (dot(n, eye.xyz) * projectionMatrix[2].w + n.z * projectionMatrix[3].w < 0.0) n = -n;
  vec4 face = at(owner, 0);
  vec3 c = ink(along > 0.5 && face.z >= 0.0 ? face.z : face.x);
  float key = dot(n, LIGHT) * 0.5 + 0.5;
  c *= 0.55 + 0.42 * key * key + 0.07 * (dot(n, sky) + 1.0);
  tint = vec4(mix(min(c, 1.0), ground, hazed(-eye.z)), face.y);
  beyond = gone(position);
  gl_Position = projectionMatrix * eye;
}`,fragmentShader:`
precision highp float;
in vec4 tint; in float beyond;
out vec4 colour;
void main() {
#ifdef CUT
  if (beyond > 0.0) discard;
#endif
  colour = tint;
}`},Rc={vertexShader:`${Ia}
in vec3 position; in vec3 normal; in vec3 tangent; in float owner; in float along;
out vec3 facing; out vec3 lengths; flat out vec3 face; flat out vec4 second; flat out vec4 outline; flat out vec2 bands;
flat out float opacity;
void main() {
  vec4 eye = modelViewMatrix * vec4(position, 1.0);
  vec3 n = mat3(modelViewMatrix) * normal;
  vec3 view = projectionMatrix[3].w > 0.5 ? vec3(0.0, 0.0, 1.0) : normalize(-eye.xyz);
  // Across a round thing from rim to rim, -1 to 1, whichever way it runs; 0 on its lids and where it points at the eye.
  vec3 side = cross(mat3(modelViewMatrix) * tangent, view);
  float turn = length(side);
  facing = vec3((n - dot(n, view) * view).xy, turn > 0.01 ? dot(n, side) / turn : 0.0);
  vec4 first = at(owner, 0), more = at(owner, 1);
  face = ink(first.x);
  second = first.z >= 0.0 && along >= 0.0 ? vec4(ink(first.z), 1.0) : vec4(0.0);
  outline = vec4(ink(first.w), more.z);
  bands = more.xy;
  lengths = vec3(along, gone(position), hazed(-eye.z));
  opacity = first.y;
  gl_Position = projectionMatrix * eye;
}`,fragmentShader:`
precision highp float;
${Jd}
uniform vec3 ground; uniform vec3 sky; uniform float ratio;
in vec3 facing; in vec3 lengths; flat in vec3 face; flat in vec4 second; flat in vec4 outline; flat in vec2 bands;
flat in float opacity;
out vec4 colour;
float band() {
  float at = mod(lengths.x, bands.x), wide = max(fwidth(lengths.x), 1e-4), edge = bands.y * bands.x;
  return clamp(min(at, edge - at) / wide + 0.5, 0.0, 1.0) + clamp((at - bands.x) / wide + 0.5, 0.0, 1.0);
}
void main() {
#ifdef CUT
  if (lengths.y > 0.0) discard;
#endif
  vec3 n = vec3(facing.xy, sqrt(max(0.0, 1.0 - dot(facing.xy, facing.xy))));
  vec3 c = second.a > 0.5 ? mix(face, second.rgb, min(band(), 1.0)) : face;
  float key = dot(n, LIGHT) * 0.5 + 0.5;
  c *= 0.55 + 0.42 * key * key + 0.07 * (dot(n, sky) + 1.0);
  float shine = max(dot(n, vec3(-0.19, 0.32, 0.927)), 0.0);
  shine *= shine; shine *= shine; shine *= shine; shine *= shine; shine *= shine;
  c += 0.14 * shine;
  float step = max(fwidth(facing.z), 1e-4);
  float rim = clamp(min(outline.a * ratio, 0.3 / step) - (1.0 - abs(facing.z)) / step + 0.5, 0.0, 1.0);
  c = mix(min(c, 1.0), outline.rgb, rim);
  colour = vec4(mix(c, ground, lengths.z), opacity);
}`},Kd={vertexShader:`${Ia}
in vec3 position; in float owner; in float along;
flat out vec3 face; flat out vec4 hatch;
void main() {
  vec4 first = at(owner, 0);
  face = ink(first.x) * mix(1.0, 0.7, dark); // so that what is cut does not glare in the dark
  hatch = vec4(ink(at(owner, 2).x), along);
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`,fragmentShader:`
precision highp float;
uniform float ratio;
flat in vec3 face; flat in vec4 hatch;
out vec4 colour;
void main() {
  float stripe = abs(fract((gl_FragCoord.x + gl_FragCoord.y) / (11.0 * ratio)) - 0.5) * 11.0;
  colour = vec4(mix(face, hatch.rgb, hatch.a > 0.5 ? 0.32 * clamp(1.2 - stripe, 0.0, 1.0) : 0.0), 1.0);
}`},fr={vertexShader:`${Ia}
uniform vec3 ground; uniform vec2 screen; uniform float ratio; uniform float nearest;
in vec3 position; in vec3 other; in float owner;
out vec2 across; flat out vec4 tint; flat out float half_px; flat out vec4 dashes; flat out vec3 run;
void main() {
  gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
#if defined(OPENING)
  vec4 line = vec4(at(owner, 0).w, 1.2, 1.0, 0.0);
#elif defined(TRACE)
  vec4 line = vec4(0.0, TRACE, 1.0, 0.0);
#else
  vec4 line = at(owner, 2);
  if (line.y * line.z == 0.0) return;
#endif
  vec4 a = modelViewMatrix * vec4(position, 1.0), b = modelViewMatrix * vec4(other, 1.0);
  if (max(-a.z, -b.z) < nearest) return;
  float t = (a.z + nearest) / (a.z - b.z);
  int corner = gl_VertexID & 3;
  bool first = corner == 0 || corner == 3;
  vec4 p = first ? a : b, q = first ? b : a;
  vec3 spot = first ? position : other;
  if (-p.z < nearest) { p = mix(a, b, t); spot = mix(position, other, t); }
  if (-q.z < nearest) q = mix(a, b, t);
  vec4 m = projectionMatrix * p, n = projectionMatrix * q;
  vec2 way = (n.xy / n.w - m.xy / m.w) * screen * (first ? 1.0 : -1.0);
  float px = length(way);
  vec2 along = px > 1e-6 ? way / px : vec2(1.0, 0.0);
  half_px = 0.5 * line.y * ratio;
  float reach = half_px + 0.75;
  across = vec2(corner < 2 ? -reach : reach, gone(spot));
  // Dashes are counted along the picture's edge that a line is nearer to, so that they go on round a bend; from where
  // the case's zero is seen, so that they move with it.
  dashes = mod(floor(vec4(line.w) / vec4(262144.0, 4096.0, 64.0, 1.0)), 64.0) * ratio;
  vec4 zero = projectionMatrix * modelViewMatrix[3];
  run.xy = abs(along.x) > abs(along.y) ? vec2(1.0, 0.0) : vec2(0.0, 1.0);
  run.z = zero.w > 1.0 || projectionMatrix[3].w > 0.5 ? dot(run.xy, 0.5 * zero.xy / zero.w * screen) : 0.0;
  vec2 shift = vec2(-along.y, along.x) * across.x + along * (first ? -0.5 : 0.5) * half_px;
  m.xy += shift / screen * 2.0 * m.w;
  m.z -= 2e-5 * m.w;
#if defined(TRACE)
  tint = vec4(TRACE > 4.0 ? ground : mix(vec3(0.125, 0.14, 0.165), vec3(0.96, 0.94, 0.90), dark), 1.0);
#else
  vec3 c = mix(ink(line.x), vec3(0.86, 0.83, 0.78), dark * 0.45);
  tint = vec4(mix(c, ground, hazed(-p.z)), line.z * min(1.0, 2.0 * half_px));
#endif
  gl_Position = m;
}`,fragmentShader:`
precision highp float;
in vec2 across; flat in vec4 tint; flat in float half_px; flat in vec4 dashes; flat in vec3 run;
out vec4 colour;
float within(float at, float from, float to) { return clamp(min(at - from, to - at) + 0.5, 0.0, 1.0); }
void main() {
#ifdef CUT
  if (across.y > 1e-3) discard;
#endif
  float shown = 1.0;
  if (dashes.x > 0.0) {
    float at = mod(dot(run.xy, gl_FragCoord.xy) - run.z, dot(dashes, vec4(1.0)));
    float third = dashes.x + dashes.y;
    shown = max(within(at, 0.0, dashes.x), within(at, third, third + dashes.z));
  }
  colour = vec4(tint.rgb, shown * tint.a * clamp(half_px + 0.5 - abs(across.x), 0.0, 1.0));
}`},jd={vertexShader:`
precision highp float;
uniform mat4 modelViewMatrix, projectionMatrix; uniform vec2 screen; uniform float ratio;
in vec2 position; in vec3 one; in vec3 other; in vec2 shape; in vec3 fill; in vec3 rim;
out vec2 px; flat out vec2 kind; flat out vec3 inside;
flat out vec3 border; flat out float length_px; flat out vec2 badge;
vec2 spot(vec3 p) {
  vec4 q = projectionMatrix * modelViewMatrix * vec4(p, 1.0);
  return q.w > 1e-6 ? 0.5 * q.xy / q.w * screen / ratio : vec2(1e6);
}
void main() {
  vec2 a = spot(one), b = spot(other), half_screen = 0.5 * screen / ratio;
  vec2 way = b - a;
  length_px = length(way);
  vec2 along = length_px > 1e-3 ? way / length_px : vec2(1.0, 0.0);
  kind = shape; inside = fill; border = rim;
  // The badge stands towards the upper right, or inwards where the picture ends.
  vec2 inwards = vec2(a.x > half_screen.x - 70.0 ? -1.0 : 1.0, a.y > half_screen.y - 70.0 ? -1.0 : 1.0);
  badge = shape.y * normalize(vec2(1.0, 0.9)) * inwards;
  vec2 at;
  if (shape.x > 4.5) {
    px = vec2(position.x > 0.0 ? length_px + 6.0 : -6.0, position.y * 6.0);
    at = a + along * px.x + vec2(-along.y, along.x) * px.y;
  } else {
    float reach = shape.y > 0.0 ? shape.y + 24.0 : 26.0;
    px = position * reach;
    at = a + px;
  }
  gl_Position = vec4(at / half_screen, 0.0, 1.0);
}`,fragmentShader:`
precision highp float;
uniform float ratio; uniform float dark;
in vec2 px; flat in vec2 kind; flat in vec3 inside; flat in vec3 border; flat in float length_px; flat in vec2 badge;
out vec4 colour;
float over(float d) { return clamp(0.5 - d * ratio, 0.0, 1.0); }
float piece(vec2 p, vec2 a, vec2 b) {
  vec2 w = b - a;
  return length(p - a - w * clamp(dot(p - a, w) / max(dot(w, w), 1e-6), 0.0, 1.0));
}
float triangle(vec2 p) { p.y += 2.0; p.x = abs(p.x); return max(dot(p, vec2(0.866, 0.5)) - 6.2, -p.y - 6.2); }
float square(vec2 p) { vec2 q = abs(p) - 8.5; return max(q.x, q.y); }
void mixin(float d, vec3 c) { float k = over(d); colour = vec4(mix(colour.rgb, c, k), max(colour.a, k)); }
void main() {
  colour = vec4(border, 0.0);
  vec3 ink = mix(vec3(0.125, 0.14, 0.165), vec3(0.96, 0.94, 0.90), dark);
  vec3 halo = mix(vec3(1.0), vec3(0.10, 0.09, 0.08), dark);
  if (kind.x > 4.5) {
    float d = piece(px, vec2(0.0), vec2(length_px, 0.0));
    mixin(d - 2.4, halo);
    mixin(d - 0.9, ink);
  } else if (kind.x > 3.5) {
    mixin(length(px) - 5.6, halo); mixin(length(px) - 4.2, ink); mixin(length(px) - 1.6, halo);
  } else if (kind.x < 0.5) {
    float d = abs(length(px) - 15.0);
    mixin(d - 2.8, halo); mixin(d - 1.3, ink);
  } else {
    float d = piece(px, normalize(badge) * 15.0, badge);
    mixin(d - 2.0, halo); mixin(d - 0.7, ink);
    vec2 p = px - badge;
    float s = kind.x < 1.5 ? length(p) - 10.0 : kind.x < 2.5 ? triangle(p) - 2.0 : square(p);
    mixin(s - 2.6, halo); mixin(s - 1.4, border); mixin(s, inside);
    if (kind.x > 1.5 && kind.x < 2.5) mixin(s, inside);
  }
  if (colour.a < 0.004) discard;
}`};var Cc={light:"#f5f0e4",dark:"#1b1916"};function Qd(){let n=t=>({value:t});return{states:n(null),ground:n(new z),sky:n(new z(0,1,0)),haze:n(new Xt(0,1)),dark:n(0),cut:n(new se(0,0,0,1)),ratio:n(1),screen:n(new Xt(1,1)),nearest:n(.1)}}function tf(n){let t=(r,o,a={})=>new di({...r,glslVersion:Oi,uniforms:n,defines:a,...o}),e={polygonOffset:!0,polygonOffsetFactor:1,polygonOffsetUnits:2},i={transparent:!0,depthWrite:!1},s={...i,depthTest:!1};return{solid:t(Ec,{side:tn,...e}),clearSolid:t(Ec,{side:gn,...i}),round:t(Rc,{side:gn,...e}),clearRound:t(Rc,{side:gn,...i}),opening:t(Kd,{side:tn,...e}),lines:t(fr,i),openingLines:t(fr,i,{OPENING:1}),traceRim:t(fr,s,{TRACE:"6.5"}),trace:t(fr,s,{TRACE:"2.6"})}}function ef(n,t){for(let e of["solid","clearSolid","round","clearRound","lines","traceRim","trace"]){let{defines:i}=n[e];"CUT"in i!==t&&(t?i.CUT=1:delete i.CUT,n[e].needsUpdate=!0)}}var mM={colour:"#2e2e2e",second:"",opacity:1,line:"#101010",line_px:0,outline:"#101010",outline_px:.7};function nf(n){let t=r=>n.looks[r.look],e=(r,o)=>(a,l)=>({kind:r,index:l,name:a.name,says:o(a),part:a.part??null,look:t(a),marked:a.marked==null?null:n.looks[a.marked],severity:a.severity??null,bands:[0,0],thing:a}),i=n.tubes.map(e("tube",_M)).map(r=>vM(r,n.signs)),s=(r,o)=>[r,Mi(n,o)].filter(Boolean).join(", ");return[...n.solids.map(e("solid",r=>s(r.part&&r.part!==r.name?r.part:"",r.part))),...n.spaces.map(e("space",r=>s(r.why??"",r.part))),...n.nipples.map(e("nipple",r=>s(r.part??"",r.part))),...n.passages.map(e("passage",r=>r.says??"")),...n.spaces.map(e("hatching",r=>r.why??"")).map(gM),...i,...i.map(r=>({...r,kind:"tie",says:xM(r.thing),look:mM,marked:null,bands:[0,0]}))]}var gM=n=>({...n,marked:null,look:{...n.look,dashes:[]}}),_M=n=>[n.from,n.to].filter(Boolean).join(" – ");function xM(n){let t=[...new Set(n.ties.map(e=>e.to).filter(Boolean))];return t.length?`tied to ${t.join(", ")}`:""}function vM(n,{bands:t,doubts:e}){let i=n.marked?t[n.severity]:e?.[n.thing.status];return i?{...n,bands:[i.every*n.thing.outside,i.share]}:n}function sf(n,t){let e=n.findIndex(i=>i.kind===t);return e<0?n.length:e}var Ic=({kind:n,index:t,name:e,says:i})=>({kind:n,index:t,name:e,says:i});function pr(n){let t=parseInt(n.slice(1),16);return[(t>>16)/255,(t>>8&255)/255,(t&255)/255]}var yM={ring:0,disc:1,triangle:2,square:3,dot:4,line:5},MM=46,rf={fill:"#20242a",rim:"#ffffff",shape:"dot"};function of(n){let t=new Xe,e=new di({...jd,glslVersion:Oi,uniforms:n,transparent:!0,depthTest:!1,depthWrite:!1});t.boundingSphere=new mn;let i=new Oe(t,e);return i.frustumCulled=!1,i.visible=!1,i.renderOrder=9,{mesh:i,show:(s,r,o)=>bM(i,SM(s,r,o))}}function SM(n,t,e){let i=[];t.length===2&&i.push({...rf,shape:"line",from:t[0],to:t[1]});for(let o of t)i.push({...rf,from:o,to:o});if(!n)return i;let s=e[n.severity]??e.note,r={from:n.point,to:n.point,fill:s.fill,rim:s.rim};return[...i,{...r,shape:"ring"},{...r,shape:s.shape,away:MM}]}function bM(n,t){let{geometry:e}=n;n.visible=t.length>0,e.dispose();let i=[-1,-1,1,-1,1,1,-1,1],s=o=>t.flatMap(a=>[0,1,2,3].flatMap(l=>o(a,l))),r=(o,a,l)=>e.setAttribute(o,new de(new Float32Array(s(l)),a));r("position",2,(o,a)=>i.slice(2*a,2*a+2)),r("one",3,o=>o.from),r("other",3,o=>o.to),r("shape",2,o=>[yM[o.shape],o.away??0]),r("fill",3,o=>pr(o.fill)),r("rim",3,o=>pr(o.rim)),e.setIndex(t.flatMap((o,a)=>[0,1,2,0,2,3].map(l=>4*a+l)))}function af(n,t){let e=new Map,i={tap:null},s={pointerdown:r=>wM(r,n,e,i,t),pointermove:r=>TM(r,n,e,i,t),pointerup:r=>EM(r,n,e,i,t),pointercancel:r=>(e.delete(r.pointerId),i.tap=null),pointerleave:()=>t.left(),wheel:r=>RM(r,n,t),contextmenu:r=>r.preventDefault()};n.style.touchAction="none";for(let[r,o]of Object.entries(s))n.addEventListener(r,o,{passive:!1})}function Pc(n,t){let e=n.getBoundingClientRect();return[t.clientX-e.left,t.clientY-e.top]}function wM(n,t,e,i,s){let[r,o]=Pc(t,n);t.setPointerCapture?.(n.pointerId),e.set(n.pointerId,{x:r,y:o}),s.began(r,o),i.tap=e.size===1&&n.button===0?{x:r,y:o,at:n.timeStamp}:null}function TM(n,t,e,i,s){let[r,o]=Pc(t,n),a=e.get(n.pointerId);if(!a){n.pointerType!=="touch"&&s.hover(r,o);return}if(!(i.tap&&Math.hypot(r-i.tap.x,o-i.tap.y)<6)){if(i.tap=null,e.size===1){let l=n.shiftKey||(n.buttons&1)===0;s[l?"move":"turn"](r-a.x,o-a.y)}else e.size===2&&AM(e,n.pointerId,{x:r,y:o},s);e.set(n.pointerId,{x:r,y:o})}}function AM(n,t,e,i){let s=n.get(t),[,r]=[...n].find(([l])=>l!==t),o=l=>Math.max(Math.hypot(l.x-r.x,l.y-r.y),1),a=[(e.x+r.x)/2,(e.y+r.y)/2];i.move((e.x-s.x)/2,(e.y-s.y)/2),i.zoom(o(s)/o(e),...a)}function EM(n,t,e,i,s){if(!e.delete(n.pointerId))return;let r=i.tap;i.tap=null,!(!r||n.timeStamp-r.at>600)&&s.tap(r.x,r.y,n.pointerType==="touch")}function RM(n,t,e){n.preventDefault();let i=n.deltaY*(n.deltaMode===1?32:n.deltaMode===2?400:1),s=n.ctrlKey?6:1,r=Math.exp(Math.max(-120,Math.min(120,i))*.0016*s);e.zoom(r,...Pc(t,n))}function mr(n,t,e){let i={position:new de(n.points,3),normal:new de(n.normals,4,!0),owner:new de(n.owners,1),along:new de(n.along,1)};n.tangents&&(i.tangent=new de(n.tangents,4,!0));let s=[t,e].map(r=>CM(i,r));return{meshes:s.map(r=>r.mesh),draw(r,o){r&&lf(s[0],n.triangles,r),o&&lf(s[1],n.triangles,o)},changed:()=>["position","normal"].forEach(r=>i[r].needsUpdate=!0),dispose:()=>s.forEach(r=>r.mesh.geometry.dispose())}}function CM(n,t){let e=new Xe;for(let[s,r]of Object.entries(n))e.setAttribute(s,r);e.boundingSphere=new mn;let i=new Oe(e,t);return i.frustumCulled=!1,i.visible=!1,{mesh:i,drawn:[]}}function lf(n,t,e){let{mesh:i,drawn:s}=n;if(e.length===s.length&&e.every((a,l)=>a===s[l])||(n.drawn=e,i.visible=e.length>0,!e.length))return;let{geometry:r}=i;r.index||r.setIndex(new de(new Uint32Array(t.length),1));let o=0;for(let[a,l]of e)r.index.array.set(t.subarray(a,a+l),o),o+=l;r.index.clearUpdateRanges(),r.index.addUpdateRange(0,o),r.index.needsUpdate=!0,r.setDrawRange(0,o)}function hf(n){if(!n)return[0,0,0,1];let t=[0,0,0,-n.keep*(n.at+1e-5)];return t[n.axis]=-n.keep,t}var uf=(n,t)=>!n||n.keep*(t[n.axis]-n.at)>=-.001;function df(n,t,[e,i],s){let{axis:r}=s,o=s.at+1e-5,a=[];for(let l=e;l<e+i;l+=3){let[c,h,d]=[3*t[l],3*t[l+1],3*t[l+2]],[u,f,g]=[n[c+r]>o,n[h+r]>o,n[d+r]>o];if(u===f&&f===g)continue;let[M,p,m,S]=u===g?[h,d,c,f]:u===f?[d,c,h,g]:[c,h,d,u],[R,T]=[cf(n,M,p,r,o),cf(n,M,m,r,o)];S?a.push(T[0],T[1],R[0],R[1]):a.push(R[0],R[1],T[0],T[1])}return a}var Pa=n=>[(n+1)%3,(n+2)%3];function cf(n,t,e,i,s){let r=(s-n[t+i])/(n[e+i]-n[t+i]),[o,a]=Pa(i);return[o,a].map(l=>n[t+l]+r*(n[e+l]-n[t+l]))}function ff(n){let t=[];for(let o=0;o<n.length;o+=4){let[a,l,c,h]=n.slice(o,o+4);l<h&&t.push({x:a,y:l,u:c,v:h,turn:-1}),l>h&&t.push({x:c,y:h,u:a,v:l,turn:1})}t.sort((o,a)=>o.y-a.y);let e=[...new Set(t.flatMap(o=>[o.y,o.v]))].sort((o,a)=>o-a),i=[],s=[],r=0;for(let o=0;o+1<e.length;o++){let[a,l]=[e[o],e[o+1]];for(s=s.filter(c=>c.v>a);r<t.length&&t[r].y<=a;)s.push(t[r++]);IM(s,a,l,i)}return i}var gr=(n,t)=>n.x+(n.u-n.x)*(t-n.y)/(n.v-n.y);function IM(n,t,e,i){let s=(t+e)/2,r=n.map(l=>({s:l,x:gr(l,s)})).sort((l,c)=>l.x-c.x),o=0,a=null;for(let{s:l}of r){let c=o;if(o+=l.turn,c===0&&(a=l),o!==0||c===0)continue;let[h,d,u,f]=[gr(a,t),gr(l,t),gr(l,e),gr(a,e)];i.push(h,t,d,t,u,e,h,t,u,e,f,e)}}function _r(n,t){let e=n.reduce((l,c)=>l+c.lines.length/6,0),i=new Float32Array(24*e),s=new Uint16Array(4*e),r=[],o=0;for(let{lines:l,owner:c}of n){r.push([o,4*l.length]);for(let h=0;h<l.length;h+=6,o+=24)for(let d=0;d<24;d++)i[o+d]=l[h+d%6];s.fill(c,r.at(-1)[0]/6,o/6)}let a=new Zs(i,6);return{mesh:PM(a,s,t),ends:i,spans:r,changed:()=>a.needsUpdate=!0}}function PM(n,t,e){let i=new Xe;i.setIndex(new de(LM(t.length/4),1)),i.setAttribute("position",new as(n,3,0)),i.setAttribute("other",new as(n,3,3)),i.setAttribute("owner",new de(t,1)),i.boundingSphere=new mn;let s=new Oe(i,e);return s.frustumCulled=!1,s.visible=t.length>0,s.renderOrder=1,s}function LM(n){let t=new Uint32Array(6*n);for(let e=0;e<n;e++)t.set([4*e,4*e+1,4*e+2,4*e,4*e+2,4*e+3],6*e);return t}var Na=3;function pf(n){let t=Math.max(n,1),e=new Float32Array(t*Na*4),i=new ls(e,Na,t,sn,nn);return i.minFilter=pe,i.magFilter=pe,i.needsUpdate=!0,{values:e,texture:i}}var La=n=>parseInt(n.slice(1),16);function NM({dashes:n}){if(!n?.length)return 0;let[t,e,i=t,s=e]=n;return((t*64+e)*64+i)*64+s}function mf(n,t,e,{opacity:i,strength:s,wider:r,bands:o}){let a=La(e.colour),l=La(e.line),c=e.second?La(e.second):-1,h=e.outline_px||r?La(e.outline):l;n.values.set([a,i,c,h,o[0],o[1],e.outline_px+r,0,l,e.line_px>0?e.line_px+r:0,s,NM(e)],t*Na*4),n.texture.needsUpdate=!0}function gf(n,t,e){let i=t*Na*4+1;n.values[i]!==Math.fround(e)&&(n.values[i]=e,n.texture.needsUpdate=!0)}var DM=.14,_f=.3,xf=.28,UM=.45,OM=1.4;function vf(n,t){let{owners:e,states:i,opacities:s,lay:r}=n,{opaque:o,ghost:a}=r.signs.opacities,l=FM(r,t);n.faded=new Set,e.forEach((c,h)=>{let d=zM(c,l);d!=="shown"&&n.faded.add(h);let u=c.marked??c.look,f=GM(d,u,{opaque:o,ghost:a,kind:c.kind});s[h]=f;let g=VM(c,t.chosen)?OM:0,p=(c.kind==="hatching"?UM:1)*{shown:1,quiet:xf,faint:_f,faded:_f,hidden:0}[d];mf(i,h,u,{opacity:f,strength:p,wider:g,bands:c.bands})}),n.hides=c=>s[c]>=o}function FM(n,{faded:t,hidden:e,lit:i,chosen:s}){let r=a=>new Set([...a].flatMap(l=>[l,...BM(n,l)])),o=kM({lit:i,chosen:s})?s.index:null;return{faded:r(t),hidden:r(e),lit:i,followed:o}}function BM(n,t){let e=n.parts.find(i=>i.name===t);return e?[...e.solids.map(i=>n.solids[i].name),...e.nipples.map(i=>n.nipples[i].name)]:[]}function kM({lit:n,chosen:t}){return t?.kind==="tube"&&n?.size>1}function zM(n,{faded:t,hidden:e,lit:i,followed:s}){if(e.has(n.name))return"hidden";let r=n.kind==="tube"||n.kind==="tie";return r&&i?.has(n.index)?s===null||n.index===s?"shown":"quiet":r&&i?s===null?"faint":"hidden":t.has(n.name)?"faded":"shown"}function GM(n,t,{opaque:e,ghost:i,kind:s}){return n==="hidden"?0:n==="faint"?DM:n==="quiet"?xf:n==="faded"?Math.min(i,t.opacity):s==="space"||s==="hatching"?t.opacity:t.opacity>=e?1:t.opacity}var VM=(n,t)=>!!t&&t.kind===n.kind&&t.index===n.index;var Mf=(n,t)=>(n+2)*t,Sf=(n,t)=>3*(2*(n-1)*t+2*(t-2));function bf(n,t,e,i,s){let r=3*(e-2),o=i===0?0:r+6*e*i,a=r+6*e*s+(s===t-1?r:0);return[n+o,a-o]}function xr(n,t){return{points:new Float32Array(3*n),normals:new Int16Array(4*n),owners:new Uint16Array(n),along:new Float32Array(n),tangents:null,triangles:new Uint32Array(t),corner:0,index:0}}function wf(n){let t=n.length/3,e=new Float64Array(t);for(let i=1;i<t;i++){let s=3*i,r=Math.hypot(n[s]-n[s-3],n[s+1]-n[s-2],n[s+2]-n[s-1]);e[i]=e[i-1]+r}return e}function HM(n){let t=n.length/3,e=new Float64Array(9*t),i=new Float64Array(3),s=Float64Array.of(0,0,1);for(let r=0;r<t;r++)i.set(s),r<t-1&&WM(n,3*r,s),XM(r>0?i:s,s,e,9*r),(r===0||!Tf(e,9*r,e,9*r-6))&&$M(e,9*r),YM(e,9*r);return e}function WM(n,t,e){let i=n[t+3]-n[t],s=n[t+4]-n[t+1],r=n[t+5]-n[t+2],o=Math.sqrt(i*i+s*s+r*r);o!==0&&(e[0]=i/o,e[1]=s/o,e[2]=r/o)}function XM(n,t,e,i){let s=n[0]+t[0],r=n[1]+t[1],o=n[2]+t[2],a=Math.sqrt(s*s+r*r+o*o),l=a<=1e-9;e[i]=l?t[0]:s/a,e[i+1]=l?t[1]:r/a,e[i+2]=l?t[2]:o/a}function Tf(n,t,e,i){let s=e[i]*n[t]+e[i+1]*n[t+1]+e[i+2]*n[t+2],r=e[i]-s*n[t],o=e[i+1]-s*n[t+1],a=e[i+2]-s*n[t+2],l=Math.sqrt(r*r+o*o+a*a);return n[t+3]=r/l,n[t+4]=o/l,n[t+5]=a/l,l>.001}var qM=[0,0,1,1,0,0],$M=(n,t)=>Tf(n,t,qM,Math.abs(n[t+2])<.9?0:3);function YM(n,t){n[t+6]=n[t+1]*n[t+5]-n[t+2]*n[t+4],n[t+7]=n[t+2]*n[t+3]-n[t]*n[t+5],n[t+8]=n[t]*n[t+4]-n[t+1]*n[t+3]}var Af=(n,t)=>({...xr(n,t),tangents:new Int8Array(4*n)}),Lc=new Map;function ZM(n){if(!Lc.has(n)){let t=e=>Float64Array.from({length:n},(i,s)=>e(2*Math.PI*s/n));Lc.set(n,{cos:t(Math.cos),sin:t(Math.sin)})}return Lc.get(n)}function Ef(n,t,e){let i=t.length/3,s=HM(t),r=n.index,o=n.corner;Nc(n,t,s,0,{...e,cap:-1}),Nc(n,t,s,i-1,{...e,cap:1});let a=n.corner;for(let l=0;l<i;l++)Nc(n,t,s,l,e);return yf(n,o,e.sides,-1),JM(n,a,i,e.sides),yf(n,o+e.sides,e.sides,1),[r,n.index-r]}function Nc(n,t,e,i,{radius:s,owner:r,along:o,sides:a,cap:l=0}){let{cos:c,sin:h}=ZM(a),{points:d,normals:u,tangents:f}=n,g=l===0?32767:0,M=n.corner;for(let p=0;p<3;p++){let m=e[9*i+p],S=e[9*i+3+p],R=e[9*i+6+p],T=t[3*i+p];for(let E=0;E<a;E++){let A=c[E]*S+h[E]*R;d[3*(M+E)+p]=T+s*A,u[4*(M+E)+p]=g*A+l*32767*m,l===0&&(f[4*(M+E)+p]=127*m)}}n.owners.fill(r,M,M+a),n.along.fill(o?o[i]:-1,M,M+a),n.corner+=a}function JM(n,t,e,i){let{triangles:s}=n,r=n.index;for(let o=0;o<e-1;o++)for(let a=0;a<i;a++){let l=t+o*i+a,c=a+1<i?l+1:l+1-i;s[r]=l,s[r+1]=c,s[r+2]=l+i,s[r+3]=c,s[r+4]=c+i,s[r+5]=l+i,r+=6}n.index=r}function yf(n,t,e,i){for(let s=1;s<e-1;s++){let[r,o]=i>0?[s,s+1]:[s+1,s];n.triangles.set([t,t+r,t+o],n.index),n.index+=3}}function Rf(n,t){let e=[];for(let{owner:i,room:s,spans:r}of n){let o=r.flatMap(a=>df(s.points,s.triangles,a,t));o.length&&e.push({owner:i,outline:o,area:ff(o)})}return KM(e,t)}function KM(n,t){let e=n.reduce((o,{area:a})=>o+a.length/2,0),i=xr(e,e),[s,r]=Pa(t.axis);for(let{owner:o,area:a}of n)for(let l=0;l<a.length;l+=2){let c=i.corner++;i.points[3*c+s]=a[l],i.points[3*c+r]=a[l+1],i.points[3*c+t.axis]=t.at,i.normals[4*c+t.axis]=-t.keep*32767,i.owners[c]=o,i.triangles[i.index++]=c}return{room:i,lines:n.map(({owner:o,outline:a})=>({owner:o,lines:jM(a,t)}))}}function jM(n,t){let[e,i]=Pa(t.axis),s=new Float32Array(n.length/2*3);for(let r=0;r<n.length/2;r++)s[3*r+e]=n[2*r],s[3*r+i]=n[2*r+1],s[3*r+t.axis]=t.at;return s}function Cf(n,t){return[...n.map(e=>({...e,round:!0,ball:If(e.points,0,e.points.length,e.radius)})),...t.map(e=>Dc({...e,round:!1}))]}var Dc=n=>({...n,ball:If(n.points,n.begin,n.count,0)});function If(n,t,e,i){let s=[1/0,1/0,1/0],r=[-1/0,-1/0,-1/0];for(let a=t;a<t+e;a++)s[(a-t)%3]=Math.min(s[(a-t)%3],n[a]),r[(a-t)%3]=Math.max(r[(a-t)%3],n[a]);let o=le(ue(s,r),.5);return{centre:o,radius:Math.hypot(...qt(r,o))+i}}function Pf(n,t,e){let i=[];for(let s of n){if(!QM(s.ball,t,e.spread))continue;let r=s.round?tS(s,t,e):iS(s,t,e.keeps);r&&i.push({owner:s.owner,...r})}return i.sort((s,r)=>s.depth-r.depth)}function QM({centre:n,radius:t},e,i){let s=qt(n,e.from),r=Qt(s,e.along),o=t+i(Math.max(r,0));return r>-t&&Qt(s,s)-r*r<=o*o}function tS({points:n,radius:t},e,{spread:i,keeps:s}){let r=null;for(let o=0;o+5<n.length;o+=3){let a=nS(n,o,t,e);!a||a.off>i(a.depth)||!eS(a,r)||!s(a.point)||(r=a)}return r}var eS=(n,t)=>!t||n.off<t.off||n.off===t.off&&n.depth<t.depth;function nS(n,t,e,{from:i,along:s}){let r=[n[t],n[t+1],n[t+2]],o=[n[t+3]-r[0],n[t+4]-r[1],n[t+5]-r[2]],a=qt(r,i),[l,c,h,d]=[Qt(o,o),Qt(o,s),Qt(a,s),Qt(a,o)],u=l-c*c,f=u>1e-9*l?Math.min(1,Math.max(0,(c*h-d)/u)):0,g=ue(r,le(o,f)),M=Qt(qt(g,i),s);if(M<=0)return null;let p=qt(g,ue(i,le(s,M))),m=Math.sqrt(Qt(p,p));if(m>=e)return{depth:M,off:m-e,point:ue(g,le(p,-e/m))};let S=Math.sqrt(Math.max(u/l,.05)),R=Math.sqrt(e*e-m*m)/S;return{depth:M-R,off:0,point:ue(i,le(s,M-R))}}function iS({points:n,begin:t,count:e},i,s){let r=null;for(let o=t;o<t+e;o+=9){let a=sS(n,o,i.from,i.along);if(!(a>0)||r&&a>=r.depth)continue;let l=ue(i.from,le(i.along,a));s(l)&&(r={depth:a,off:0,point:l})}return r}function sS(n,t,e,i){let[s,r,o]=[n[t+3]-n[t],n[t+4]-n[t+1],n[t+5]-n[t+2]],[a,l,c]=[n[t+6]-n[t],n[t+7]-n[t+1],n[t+8]-n[t+2]],[h,d,u]=[i[1]*c-i[2]*l,i[2]*a-i[0]*c,i[0]*l-i[1]*a],f=s*h+r*d+o*u;if(f===0)return NaN;let[g,M,p]=[e[0]-n[t],e[1]-n[t+1],e[2]-n[t+2]],m=(g*h+M*d+p*u)/f,[S,R,T]=[M*o-p*r,p*s-g*o,g*r-M*s],E=(i[0]*S+i[1]*R+i[2]*T)/f;return m>=0&&E>=0&&m+E<=1?(a*S+l*R+c*T)/f:NaN}function Lf(n,t){let e=n.filter(i=>t(i.owner)>=.5);for(let i of[e,n]){let s=i.find(o=>o.off===0),r=i.filter(o=>o.off>0).sort((o,a)=>o.off-a.off)[0];if(r&&(!s||r.depth<s.depth))return r;if(s)return s}return null}function Nf(n,t,e){return{moving:n.solids.flatMap(({movement:s},r)=>s?[{index:r,movement:s,share:0}]:[]),solids:t,edges:e,rest:null}}function Df(n,t,e){let i=n.moving.filter(s=>s.share!==Rs(s.index,t,e));i.length&&(n.rest??=rS(n));for(let s of i)s.share=Rs(s.index,t,e),oS(n,s.index,Lr(s.movement,s.share));return i.map(s=>s.index)}var rS=({solids:{room:n},edges:t})=>({points:n.points.slice(),normals:n.normals.slice(),ends:t.ends.slice()});function oS({solids:{room:n,ranges:t},edges:e,rest:i},s,r){let[o,a]=t.get(s);Es(r,i.points,n.points,3*o,3*a),Ah(r,i.normals,n.normals,4*o,4*a);let[l,c]=e.spans[s];Es(r,i.ends,e.ends,l,c)}var aS=32767,lS=Math.cos(Math.PI/6);function Uf(n,t){let e=n.map(hS),i=t.reduce((o,{form:a})=>o+n[a].triangles.length,0),s=xr(i,i),r=new Map;for(let{form:o,at:a,owner:l}of t)r.set(l,[s.index,n[o].triangles.length]),cS(s,e[o],a,l);return{room:s,ranges:r}}function cS(n,{points:t,normals:e,bands:i},s,r){let o=n.corner,a=i.length;for(let l=0;l<3*a;l+=3)for(let c=0;c<3;c++)n.points[3*o+l+c]=t[l+c]+s[c];n.normals.set(e,4*o),n.along.set(i,o),n.owners.fill(r,o,o+a);for(let l=0;l<a;l++)n.triangles[o+l]=o+l;n.corner+=a,n.index+=a}function hS({points:n,triangles:t,second:e}){let i=uS(n,t),s=dS(n.length/3,t),r={points:new Float32Array(3*t.length),normals:new Int16Array(4*t.length),bands:new Float32Array(t.length)};for(let o=0;o<t.length;o++){let a=Math.floor(o/3),l=3*t[o];for(let c=0;c<3;c++)r.points[3*o+c]=n[l+c];r.bands[o]=e!=null&&a>=e?1:0,pS(r.normals,4*o,fS(i,a,s,t[o]))}return r}function uS(n,t){let e=new Float64Array(t.length/3*4);for(let i=0,s=0;i<t.length;i+=3,s+=4){let[r,o,a]=[3*t[i],3*t[i+1],3*t[i+2]],[l,c,h]=[n[o]-n[r],n[o+1]-n[r+1],n[o+2]-n[r+2]],[d,u,f]=[n[a]-n[r],n[a+1]-n[r+1],n[a+2]-n[r+2]];e[s]=c*f-h*u,e[s+1]=h*d-l*f,e[s+2]=l*u-c*d,e[s+3]=Math.sqrt(e[s]**2+e[s+1]**2+e[s+2]**2)}return e}function dS(n,t){let e=new Uint32Array(n+1);for(let r of t)e[r+1]++;for(let r=0;r<n;r++)e[r+1]+=e[r];let i=e.slice(),s=new Uint32Array(t.length);for(let r=0;r<t.length;r++)s[i[t[r]]++]=Math.floor(r/3);return{begins:e,faces:s}}function fS(n,t,e,i){let s=4*t,r=[0,0,0];for(let o=e.begins[i];o<e.begins[i+1];o++){let a=4*e.faces[o];if(n[s]*n[a]+n[s+1]*n[a+1]+n[s+2]*n[a+2]>=lS*n[s+3]*n[a+3])for(let c=0;c<3;c++)r[c]+=n[a+c]}return r}function pS(n,t,[e,i,s]){let r=aS/(Math.sqrt(e*e+i*i+s*s)||1);n[t]=e*r,n[t+1]=i*r,n[t+2]=s*r}function Of({points:n,lines:t},e,i,s){let r=new Float32Array(6*(s-i));for(let o=0;o<2*(s-i);o++){let a=3*t[2*i+o];for(let l=0;l<3;l++)r[3*o+l]=n[a+l]+e[l]}return r}var Ff=3,mS=.7,Bf=12,gS=.4,Gf={fine:{sides:14,off:0},coarse:{sides:6,off:gS}};function Vf(n,t){let e=n.tubes.flatMap((i,s)=>i.points?.length>=6?_S(i,t.tube+s,t.tie+s):[]);return n.nipples.forEach(({from:i,to:s,radius:r},o)=>{e.push({points:[...i,...s],radius:r,owner:t.nipple+o,along:null})}),e}function _S(n,t,e){let i=n.outside/2,s=wf(n.points),r=n.sleeves.map(a=>({points:[...a.from,...a.to],radius:a.radius,owner:t,along:null})),o=n.ties.map(a=>({points:SS(n.points,s,a.along-Ff,a.along+Ff),radius:i+mS,owner:e,along:null}));return[{points:n.points,radius:i,owner:t,along:s},...r,...o]}function Hf(n,{sides:t,off:e}){let i=n.map(a=>vS(a.points,e)),s=kf(i,a=>Mf(a.length,t)),r=Af(s,kf(i,a=>Sf(a.length,t))),o=[];return n.forEach((a,l)=>{let c=i[l],h=c.length*3===a.points.length,d=h?a.points:MS(a.points,c),u=a.along&&(h?a.along:c.map(g=>a.along[g])),[f]=Ef(r,d,{radius:a.radius,owner:a.owner,along:u,sides:t});for(let[g,M]of Uc(a.points.length/3))o.push(bf(f,c.length,t,c.indexOf(g),c.indexOf(M)))}),{room:r,spans:o}}function Wf(n){return n.flatMap(({points:t,radius:e,owner:i})=>Uc(t.length/3).map(([s,r])=>({owner:i,radius:e,...xS(t,s,r,e)})))}var kf=(n,t)=>n.reduce((e,i)=>e+t(i),0);function Uc(n){let t=[];for(let e=0;e<n-1;e+=Bf)t.push([e,Math.min(n-1,e+Bf)]);return t}function xS(n,t,e,i){let[s,r]=[3*t,3*e],o=[0,1,2].map(l=>(n[s+l]+n[r+l])/2),a=0;for(let l=s;l<=r;l+=3){let c=n[l]-o[0],h=n[l+1]-o[1],d=n[l+2]-o[2];a=Math.max(a,c*c+h*h+d*d)}return{centre:o,reach:Math.sqrt(a)+i}}function vS(n,t){let e=n.length/3;if(t===0)return Array.from({length:e},(s,r)=>r);let i=[0];for(let[s,r]of Uc(e)){let o=s;for(let a=s+2;a<=r;a++)yS(n,o,a,t)||i.push(o=a-1);i.push(r)}return i}function yS(n,t,e,i){let[s,r]=[3*t,3*e],[o,a,l]=[n[s],n[s+1],n[s+2]],[c,h,d]=[n[r]-o,n[r+1]-a,n[r+2]-l],u=c*c+h*h+d*d;for(let f=s+3;f<r;f+=3){let g=n[f]-o,M=n[f+1]-a,p=n[f+2]-l,m=g*c+M*h+p*d;if(g*g+M*M+p*p-(u>0?m*m/u:0)>i*i)return!1}return!0}function MS(n,t){let e=new Float32Array(3*t.length);return t.forEach((i,s)=>{for(let r=0;r<3;r++)e[3*s+r]=n[3*i+r]}),e}function SS(n,t,e,i){let s=t[t.length-1],[r,o]=[Math.max(0,e),Math.min(s,i)],a=[...zf(n,t,r)];for(let l=0;l<t.length;l++)t[l]>r&&t[l]<o&&a.push(n[3*l],n[3*l+1],n[3*l+2]);return[...a,...zf(n,t,o)]}function zf(n,t,e){let i=1;for(;i<t.length-1&&t[i]<e;)i++;let s=t[i]-t[i-1],r=s>0?Math.min(1,Math.max(0,(e-t[i-1])/s)):0;return[0,1,2].map(o=>n[3*i-3+o]+r*(n[3*i+o]-n[3*i-3+o]))}var bS=3.2;function Xf(n,t,e,i){let s=Vf(n,t),r={runs:s,pieces:Wf(s),materials:e,group:i,coarse:null,fine:null};return r.coarse=qf(r,"coarse"),r}function qf({runs:n,materials:t,group:e},i){let{room:s,spans:r}=Hf(n,Gf[i]),o=mr(s,t.round,t.clearRound);return o.meshes.forEach((a,l)=>a.renderOrder=3*l),e.add(...o.meshes),{room:s,spans:r,batch:o}}function Da(n){return n.fine??=qf(n,"fine"),n.fine}function $f(n){let t=new Map,{spans:e}=Da(n);return n.pieces.forEach(({owner:i},s)=>t.set(i,[...t.get(i)??[],e[s]])),t}function Yf(n,t,e,i){let s={coarse:[[],[]],fine:[[],[]]},r=wS(t);n.pieces.forEach((o,a)=>{if(e[o.owner]===0)return;let l=r(o);if(l<0)return;let c=l<bS?"coarse":"fine",{spans:h}=c==="fine"?Da(n):n.coarse;s[c][i(o.owner)?0:1].push(h[a])}),n.coarse.batch.draw(...s.coarse),n.fine?.batch.draw(...s.fine)}function wS({pose:n,aspect:t,pixels:e}){let{right:i,top:s,out:r}=Fn(n),o=_e(qt(n.eye,n.target)),a=ki(n,t)/2,l=n.parallel?[0,0]:[a*t/o,a/o],[c,h]=n.parallel?[a*t,a]:[0,0];return({centre:d,reach:u,radius:f})=>{let g=qt(d,n.eye),M=-Qt(g,r);if(!n.parallel&&M<-u)return-1;let[p,m]=[Math.abs(Qt(g,i)),Math.abs(Qt(g,s))];if(p-c-l[0]*M>u*Math.hypot(1,l[0])||m-h-l[1]*M>u*Math.hypot(1,l[1]))return-1;let S=n.parallel?a:l[1]*Math.max(M-u,.001);return f/S*(e/2)}}function Zf({coarse:n,fine:t}){n.batch.dispose(),t?.batch.dispose()}function Jf({points:n,triangles:t},[e,i]){let s=[1/0,1/0,1/0],r=[-1/0,-1/0,-1/0];for(let o=e;o<e+i;o++)for(let a=0;a<3;a++){let l=n[3*t[o]+a];l<s[a]&&(s[a]=l),l>r[a]&&(r[a]=l)}return[s,r]}function Kf(n){if(!n.length)return[Array(3).fill(-1/0),Array(3).fill(1/0)];let t=[1/0,1/0,1/0],e=[-1/0,-1/0,-1/0];for(let i of n)for(let s=0;s<i.length;s++)t[s%3]=Math.min(t[s%3],i[s]),e[s%3]=Math.max(e[s%3],i[s]);return[t,e]}function jf([n,t],[e,i],s){return[0,1,2].some(r=>n[r]>=i[r]&&s[r]>t[r]||t[r]<=e[r]&&s[r]<n[r])}var TS=["solid","space","nipple","passage","hatching","tube","tie"];function Qf(n,t,e){let i=nf(n),s=Object.fromEntries(TS.map(d=>[d,sf(i,d)])),r=[...n.solids,...n.spaces].map((d,u)=>({...d,owner:u})),o=new Sn,a=Uf(n.forms,r),l=Xf(n,s,t,o),c=_r(AS(n,s,r),t.lines),h={lay:n,owners:i,first:s,solids:a,rounds:l,materials:t,uniforms:e,group:o,batch:mr(a.room,t.solid,t.clearSolid),edges:c,presses:Nf(n,a,c),states:pf(i.length),opacities:new Float32Array(i.length),boxes:new Map([...a.ranges].map(([d,u])=>[d,Jf(a.room,u)])),worth:Kf(ES(n)),targets:null,pressed:{share:0,only:null},cut:null,opening:null};return e.states.value=h.states.texture,h.batch.meshes.forEach((d,u)=>d.renderOrder=2*u),o.add(...h.batch.meshes,c.mesh),h}function AS({forms:n,passages:t,solids:e},i,s){let r=({form:o,at:a},l,c,h)=>({lines:Of(n[o],a,c,h),owner:l});return[...s.map(o=>r(o,o.owner,0,n[o.form].edges)),...t.map(({lines:o},a)=>({lines:o,owner:i.passage+a})),...s.slice(e.length).map((o,a)=>{let{edges:l,lines:c}=n[o.form];return r(o,i.hatching+a,l,c.length/2)})]}function ES({tubes:n,nipples:t}){return[...n.map(({points:i})=>i).filter(i=>i?.length),...t.map(({from:i,to:s})=>[...i,...s])]}function tp(n){return n.targets??=RS(n.lay,n.first,n.solids),n.targets}function RS(n,t,e){let i=n.tubes.flatMap((a,l)=>a.points?.length>=6?[{owner:t.tube+l,points:a.points,radius:a.outside/2}]:[]),s=n.nipples.map(({from:a,to:l,radius:c},h)=>({owner:t.nipple+h,points:[...a,...l],radius:c})),r=[...e.ranges].map(([a,[l,c]])=>({owner:a,points:e.room.points,begin:3*l,count:3*c})),o=n.passages.map(({lines:a},l)=>({owner:t.passage+l,points:a,radius:.5}));return Cf([...i,...s,...o],r)}function ep(n,t){vf(n,t),n.cut&&kc(n)}function np(n,t){let{batch:e,solids:i,rounds:s,opacities:r,boxes:o,hides:a}=n;Yf(s,t,r,a);let l=[...o.keys()].filter(u=>r[u]>0),c=l.filter(u=>!a(u)),h=new Map(c.map(u=>[u,CS(o.get(u),t.pose.eye)]));c.sort((u,f)=>h.get(f)-h.get(u));let d=u=>u.map(f=>i.ranges.get(f));e.draw(d(l.filter(a)),d(c)),IS(n,c,t.pose.eye)}var CS=([n,t],e)=>Math.hypot(...[0,1,2].map(i=>(n[i]+t[i])/2-e[i]));function IS({states:n,opacities:t,boxes:e,worth:i,lay:s},r,o){let{wall:a}=s.signs.opacities;for(let l of r){let c=jf(e.get(l),i,o);gf(n,l,c?Math.min(t[l],a):t[l])}}function Oc(n,t,e){n.pressed={share:t,only:e};let i=new Set(Df(n.presses,t,e));i.size&&(n.batch.changed(),n.edges.changed(),n.targets=n.targets?.map(s=>i.has(s.owner)?Dc(s):s)??null,n.cut&&kc(n))}function Fc(n,t){n.cut=t,n.uniforms.cut.value.set(...hf(t)),ef(n.materials,!!t),Bc(n),t&&kc(n)}var ip=(n,t)=>uf(n.cut,t);function Bc(n){if(n.opening){for(let t of n.opening)n.group.remove(t),t.geometry.dispose();n.opening=null}}function kc(n){Bc(n);let{owners:t,opacities:e,solids:i,rounds:s,materials:r,group:o}=n,a=u=>t[u].kind!=="space"&&e[u]>0&&!n.faded.has(u),l=[...[...i.ranges].map(([u,f])=>({owner:u,room:i.room,spans:[f]})),...[...$f(s)].map(([u,f])=>({owner:u,room:Da(s).room,spans:f}))].filter(({owner:u})=>a(u)),c=Rf(l,n.cut);c.room.owners.forEach((u,f)=>c.room.along[f]=t[u].kind==="solid"?1:0);let h=mr(c.room,r.opening,r.opening);h.draw([[0,c.room.index]],[]);let d=_r(c.lines,r.openingLines);n.opening=[h.meshes[0],d.mesh],o.add(...n.opening)}function sp(n){Bc(n),n.batch.dispose(),Zf(n.rounds),n.edges.mesh.geometry.dispose(),n.states.texture.dispose()}function rp(n){return{ask:n,isQuick:!1,isResting:!1,timer:0}}var op=({isQuick:n,isResting:t})=>n||t?2:1;function ap(n,t){if(clearTimeout(n.timer),n.timer=0,!n.isQuick){if(n.isResting){n.isResting=!1,LS(n,t,performance.now());return}n.timer=setTimeout(()=>{n.timer=0,n.isResting=!0,n.ask()},180)}}var lp=n=>n.isResting=!1;function LS(n,t,e){let i=t.fenceSync(t.SYNC_GPU_COMMANDS_COMPLETE,0);t.flush();let s=()=>{if(t.isContextLost())return;let r=t.getSyncParameter(i,t.SYNC_STATUS)===t.SIGNALED;!r&&performance.now()-e<24?setTimeout(s,4):(n.isQuick=r&&performance.now()-e<24,t.deleteSync(i))};setTimeout(s,4)}var zc=({size:n})=>n[0]/n[1],cp=({size:n},t,e)=>[2*t/n[0]-1,1-2*e/n[1]];function hp(n,t,e){let i=Ac(n.pose,...cp(n,t,e),zc(n)),{out:s}=Fn(n.pose),r=Wd(n.pose,n.pose.target,zc(n)).depth,o=-Qt(s,i.along);return ue(i.from,le(i.along,r/Math.max(o,.001)))}function Ua(n,t,e,i){let{pose:s,scenery:r,size:o}=n,a=zc(n),l=Pf(tp(r),Ac(s,...cp(n,t,e),a),{spread:c=>Xd(s,c,a)*2*i/o[1],keeps:c=>ip(r,c)});return Lf(l.filter(({owner:c})=>r.opacities[c]>0),c=>r.opacities[c])}var NS=7;function up(n){let t=new Sn,e=0;return{group:t,show(i){if(t.children.forEach(r=>r.geometry.dispose()),t.clear(),e=i?.points?.length>=6?i.outside:0,!e)return;let s=[{lines:US(i.points),owner:0}];for(let[r,o]of[n.traceRim,n.trace].entries()){let{mesh:a}=_r(s,o);a.renderOrder=7+r,t.add(a)}},face:(i,s)=>t.visible=DS(e,i,s)}}var DS=(n,t,e)=>n/t*e<NS;function US(n){let t=new Float32Array(2*(n.length-3));for(let e=0;e+3<n.length;e+=3)for(let i=0;i<6;i++)t[2*e+i]=n[e+i];return t}var OS=750,Oa=2.4,Gc={mouse:4,finger:14},FS=4,BS=12;function pp(n,t,e){let i=kS(n,e);return mp(i,t),fp(i,!0),af(n,ZS(i)),qS(i),{look:s=>_i(i,()=>{i.wanted=s,gp(i)}),flyTo:(s,r={})=>yp(i,s,r),camera:()=>Ca(i.pose,i.pose),press:(s,r)=>_i(i,()=>Oc(i.scenery,s,r)),cut:s=>_i(i,()=>Fc(i.scenery,s)),mark:s=>_i(i,()=>{i.marked=s,dp(i)}),measure:s=>_i(i,()=>{i.ends=s,dp(i)}),theme:s=>_i(i,()=>xp(i,s)),replace:s=>_i(i,()=>zS(i,s)),home:()=>fp(i,!1),step:(s,r,o)=>YS(i,s,r,o),stats:()=>GS(i)}}function kS(n,t){zt.enabled=!1;let e=vp(n);[n.width,n.height]=e;let i=n.getContext("webgl2",{antialias:!1,alpha:!1,stencil:!1});if(!i)throw new Error("this browser gives the page no WebGL 2");let s=new Aa({canvas:n,context:i});s.outputColorSpace=Ri,s.debug.checkShaderErrors=!1;let r=Qd(),o=new Pi;o.matrixAutoUpdate=!1,o.matrixWorldAutoUpdate=!1;let a=tf(r),l={canvas:n,heard:t,renderer:s,uniforms:r,camera:o,materials:a,scene:new qs,trace:up(a),overlay:of(r),wanted:{faded:new Set,hidden:new Set,lit:null,chosen:null},pose:null,flight:null,waiting:0,frames:0,marked:null,ends:[],pivot:null,hovering:null,size:e};return l.scene.matrixWorldAutoUpdate=!1,l.sharpness=rp(()=>_p(l)),l.scene.add(l.overlay.mesh,l.trace.group),xp(l,"light"),l}function mp(n,t){n.lay=t,n.scenery=Qf(t,n.materials,n.uniforms),n.scene.add(n.scenery.group),gp(n)}function gp({scenery:n,wanted:t,trace:e,lay:i}){ep(n,t),e.show(t.chosen?.kind==="tube"?i.tubes[t.chosen.index]:null)}function zS(n,t){let{pressed:e,cut:i}=n.scenery;n.scene.remove(n.scenery.group),sp(n.scenery),mp(n,t),Oc(n.scenery,e.share,e.only),Fc(n.scenery,i)}function GS({frames:n,renderer:t,flight:e,waiting:i,sharpness:s}){let{calls:r,triangles:o}=t.info.render;return{frames:n,calls:r,triangles:o,rests:!e&&!i&&!s.timer}}var Fa=n=>n.size[0]/n.size[1];function _i(n,t){t(),vr(n)}function vr(n){lp(n.sharpness),_p(n)}function _p(n){n.waiting||(n.waiting=requestAnimationFrame(t=>VS(n,t)))}function VS(n,t){n.waiting=0,n.flight&&$S(n,t),!n.renderer.getContext().isContextLost()&&(XS(n,op(n.sharpness)),HS(n),np(n.scenery,{pose:n.pose,aspect:Fa(n),pixels:n.size[1]}),n.trace.face(n.pose.height,n.size[1]),n.renderer.render(n.scene,n.camera),n.frames++,ap(n.sharpness,n.renderer.getContext()))}function HS({camera:n,pose:t,lay:e,uniforms:i,size:s}){let{view:r,projection:o,near:a,far:l}=qd(t,s[0]/s[1],e.bounds);n.matrixWorldInverse.fromArray(r),n.matrixWorld.copy(n.matrixWorldInverse).invert(),n.projectionMatrix.fromArray(o),n.projectionMatrixInverse.copy(n.projectionMatrix).invert(),i.haze.value.set(a,l),i.sky.value.set(r[8],r[9],r[10]),i.nearest.value=t.parallel?-1e9:a}function xp(n,t){let e=pr(Cc[t]);n.uniforms.ground.value.set(...e),n.uniforms.dark.value=t==="dark"?1:0,n.renderer.setClearColor(parseInt(Cc[t].slice(1),16),1)}function dp({overlay:n,marked:t,ends:e,lay:i}){n.show(t,e,i.signs.badges)}var vp=n=>[Math.max(n.clientWidth,1),Math.max(n.clientHeight,1)];function WS(n){n.size=vp(n.canvas),n.renderer.setSize(...n.size,!1)}function XS({canvas:n,renderer:t,uniforms:e},i){t.getPixelRatio()!==i&&t.setPixelRatio(i),e.ratio.value=i,e.screen.value.set(n.width,n.height)}function qS(n){let{canvas:t}=n;new ResizeObserver(()=>{let[i,s]=n.size;(t.clientWidth!==i||t.clientHeight!==s)&&_i(n,()=>WS(n))}).observe(t),t.addEventListener("webglcontextrestored",()=>vr(n))}function yp(n,t,{instant:e=!1}={}){if(!t)return Promise.resolve();yr(n);let i=n.lay.views.includes(t)?{aspect:n.lay.aspect}:{},s=Ca({...i,...t},n.pose??t);return e||n.heard.calm||!n.pose?(zi(n,s),Promise.resolve()):new Promise(r=>{n.flight={from:n.pose,to:s,began:null,resolve:r},vr(n)})}function $S(n,t){let{flight:e}=n;e.began??=t;let i=Math.min(1,(t-e.began)/OS);n.pose=Yd(e.from,e.to,Zd(i)),i>=1?yr(n):vr(n)}function yr(n){let{flight:t}=n;n.flight=null,t?.resolve()}function zi(n,t){n.pose=t,vr(n)}function fp(n,t){let e=n.lay.views[0];return yp(n,$d(e,n.lay.bounds,Fa(n)),{instant:t})}function YS(n,t,e,i){yr(n);let{pose:s}=n;i==="pan"?zi(n,wc(s,t,-e,Fa(n))):i==="zoom"?zi(n,Tc(s,Mp(n,Math.exp(2*e)),s.target)):zi(n,bc(s,t*Oa,e*Oa))}function Mp({pose:n,lay:t},e){let i=BS*Math.hypot(...[0,1,2].map(s=>t.bounds[1][s]-t.bounds[0][s]));return Math.min(i,Math.max(FS,n.height*e))/n.height}function ZS(n){let t=()=>n.size[1];return{began:(e,i)=>{yr(n),n.pivot=null,Vc(n,null,e,i)},turn:(e,i)=>zi(n,bc(n.pose,e/t()*Oa,i/t()*Oa)),move:(e,i)=>zi(n,wc(n.pose,e/t(),-i/t(),Fa(n))),zoom:(e,i,s)=>JS(n,e,i,s),tap:(e,i,s)=>{let r=Ua(n,e,i,s?Gc.finger:Gc.mouse);n.heard.onPick?.(r&&Ic(n.scenery.owners[r.owner]),r?.point??null)},hover:(e,i)=>KS(n,e,i),left:()=>{n.hovering=null,Vc(n,null,0,0)}}}function JS(n,t,e,i){yr(n);let s=`${e},${i}`;n.pivot?.key!==s&&(n.pivot={key:s,point:Ua(n,e,i,0)?.point??hp(n,e,i)}),zi(n,Tc(n.pose,Mp(n,t),n.pivot.point))}function KS(n,t,e){let i=!n.hovering;n.hovering=[t,e],i&&requestAnimationFrame(()=>{if(!n.hovering)return;let s=n.hovering;n.hovering=null;let r=Ua(n,...s,Gc.mouse);Vc(n,r&&Ic(n.scenery.owners[r.owner]),...s)})}function Vc(n,t,e,i){n.heard.onHover?.(t,e,i)}var Bn=Object.freeze({mode:"found",chosen:null,unit:"mm",theme:"light",press:Object.freeze({share:0,only:null}),cut:null,parts:Object.freeze({}),laid:new Set,now:null,measuring:!1,ends:Object.freeze([])});function Sp(n={}){let t={...Bn,...n},e=new Set;for(let s of Object.keys(n))i(s);function i(s){if(!(s in Bn))throw new Error(`nothing is called ${s}: there are ${Object.keys(Bn).join(", ")}`)}return{get:()=>t,set(s){Object.keys(s).forEach(i);let r=Object.keys(s).filter(o=>!Object.is(t[o],s[o]));if(r.length){t={...t,...s};for(let{keys:o,f:a}of[...e]){let l=r.filter(c=>o.includes(c));l.length&&a(Object.fromEntries(l.map(c=>[c,t[c]])),t)}}},on(s,r){let o={keys:[s].flat(),f:r};return o.keys.forEach(i),e.add(o),()=>e.delete(o)}}}var jS=1.7,QS=900;function tb(n,t){let e={faded:new Set,hidden:new Set,lit:null,chosen:bp(n,t.chosen)};for(let s of n.parts){let r=t.parts[s.name];r&&ib(n,s).forEach(o=>e[r].add(o))}if(t.mode==="bench"&&(t.laid.size||t.now!==null))return{...e,...nb(n,t)};let i=t.chosen&&eb[t.chosen.kind]?.(n,t.chosen.index);return i?.faded&&i.faded.forEach(s=>e.faded.add(s)),{...e,lit:i?.lit??null}}var eb={finding:(n,t)=>({lit:new Set(n.findings[t].tubes),faded:n.findings[t].faded}),tube:(n,t)=>({lit:new Set([t])}),passage:(n,t)=>({lit:new Set(n.passages[t].tubes)})};function nb(n,{laid:t,now:e}){return{lit:new Set(e===null?t:[...t,e]),chosen:e===null?null:bp(n,{kind:"tube",index:e})}}function bp(n,t){if(!t||!["tube","solid","passage"].includes(t.kind))return null;let e=n[`${t.kind}s`][t.index];return e?{kind:t.kind,index:t.index,name:e.name,says:""}:null}function ib(n,t){return["solids","spaces","nipples"].flatMap(e=>t[e].map(i=>n[e][i].name))}function wp(n,t,e){let i=Object.keys(e).filter(s=>t[s]===e[s]);return{...Object.fromEntries(i.map(s=>[s,Bn[s]])),...sb(n,t.chosen)}}function sb(n,t){if(t?.kind==="finding"){let{moved:e}=n.findings[t.index];return{cut:null,press:e?{share:e[1],only:e[0]}:Bn.press}}return t?.kind==="passage"?{cut:rb(n.passages[t.index])}:{}}function rb({middle:n,right:t,up:e}){let i=$e(t,e),s=i.map(Math.abs),r=s.indexOf(Math.max(...s));return{axis:r,at:n[r],keep:i[r]>0?-1:1}}function ob(n,t){if(t?.kind==="finding"){let{eye:e,target:i,up:s,height:r}=n.findings[t.index];return e?{eye:e,target:i,up:s,height:r}:n.views[0]}return t?.kind==="passage"?ab(n.passages[t.index]):null}function ab({middle:n,right:t,up:e,size:[i,s]}){return{eye:ue(n,le($e(t,e),QS)),target:n,up:e,height:jS*Math.max(s,i/1.3),parallel:!0}}function Tp(n,t,e,i){let s=()=>n.look(tb(t(),e.get())),r=()=>n.press(e.get().press.share,e.get().press.only),o=()=>n.mark(lb(t(),e.get().chosen)),a=d=>n.flyTo(Nr(t(),d,i.clientWidth/(i.clientHeight||1))),l=()=>{let{mode:d,now:u}=e.get();d==="bench"&&u!==null&&a(u)},c=()=>{o();let d=e.get().chosen;if(d?.stays)return;let u=ob(t(),d);u?n.flyTo(u):d?.near&&a(d.index)};e.on(["chosen","parts","mode","now","laid"],s),e.on("chosen",c),e.on(["mode","now"],l),new ResizeObserver(l).observe(i),e.on("press",r),e.on("cut",()=>n.cut(e.get().cut)),e.on("ends",()=>n.measure(e.get().ends)),e.on("theme",()=>n.theme(e.get().theme));let h=()=>{n.theme(e.get().theme),s(),r(),o(),n.cut(e.get().cut),n.measure(e.get().ends)};return h(),{again:h}}function lb(n,t){let e=t?.kind==="finding"?n.findings[t.index]:null;return e?.point?{point:e.point,severity:e.severity}:null}var cb="The case in 3D. Arrow keys turn it, with Shift they move it, plus and minus come nearer and go away, Home shows all.";function Ep(n,t,e){let i=t,s=()=>i,r=y("div.stage"),o=y("div.controls");n.replaceChildren(r,o);let a={};e.on("chosen",({chosen:u})=>{u?.stays||(a=wp(i,e.get(),a),e.set(a))}),xh(document.getElementById("announce"),s,e);let l=null,c={fly:u=>l.stage.flyTo(u)},h=()=>bh(o,i,e,l?.stage===null?null:c),d=h();return l=hb(r,s,e),l.stage||(d(),d=h()),Qh(s,e,l.stage?l:null),{stage:l.stage,replace(u){i=u,l.replace(u),d(),d=h()}}}function hb(n,t,e){try{return ub(n,t,e)}catch(i){return db(n,t(),e,i.message)}}function ub(n,t,e){let i=y("canvas",{tabindex:"0",role:"application","aria-label":cb}),s=y("p.under",{"aria-hidden":"true"});n.replaceChildren(i,s);let r={calm:matchMedia("(prefers-reduced-motion: reduce)").matches,onPick:(l,c)=>fb(l,c,e),onHover:l=>Ap(s,l,t(),e)},o=pp(i,t(),r);e.on(["chosen","unit"],()=>Ap(s,null,t(),e));let a=Tp(o,t,e,i);return{canvas:i,stage:o,replace(l){o.replace(l),a.again()}}}function db(n,t,e,i){let s=`There is no 3D here: ${i}. All lists and plates are there, and the case is drawn flat.`;n.replaceChildren();let{replace:r}=Jh(n,t,e,s);return{stage:null,replace:r}}function fb(n,t,e){e.get().measuring?t&&Mh(e,[...t]):n?["tube","tie"].includes(n.kind)?He(e,"tube",n.index):["solid","passage"].includes(n.kind)&&He(e,n.kind,n.index):e.set({chosen:null})}function Ap(n,t,e,i){let{chosen:s,unit:r}=i.get(),o=t?.kind==="tie"?"tube":t?.kind,a=[t?.name,t?.says].filter(Boolean).join(" – "),l=Pr(e,t?{kind:o,index:t.index}:s)||a;n.replaceChildren(...l?[xt(ii(l,r))]:[])}var pb=.1,mb=1e-5,Rp=.01,Cp=[0,0,0];function Ip(n,t){let e=Array.from({length:n.length/3},(s,r)=>Array.from(n.slice(3*r,3*r+3))),i=[e[0]];for(let s=1;s<e.length-1;s++)for(let r of gb(e[s-1],e[s],e[s+1],t[s-1]))_e(qt(r,i.at(-1)))>Rp&&i.push(r);for(;i.length>1&&_e(qt(i.at(-1),e.at(-1)))<=Rp;)i.pop();return Float32Array.from([...i,e.at(-1)].flat())}function gb(n,t,e,i){let[s,r]=[Ne(qt(t,n),Cp),Ne(qt(e,t),Cp)],o=Math.atan2(_e($e(s,r)),Qt(s,r));if(!(i>0)||o<mb)return[t];let a=qe(t,s,-i*Math.tan(o/2)),l=Ne(qe(r,s,-Math.cos(o))),c=4*Math.asin(Math.sqrt(Math.min(pb/(2*i),.5))),h=Math.ceil(o/c);return Array.from({length:h+1},(d,u)=>{let f=o*u/h;return qe(qe(a,s,i*Math.sin(f)),l,i*(1-Math.cos(f)))})}var Pp={"f32:":n=>new Float32Array(n.buffer),"u32:":n=>new Uint32Array(n.buffer),"u16:":n=>Uint32Array.from(new Uint16Array(n.buffer)),"i24:":vb},_b=["points","triangles","lines","corners","radii","taped"],Lp=["solids","spaces","passages","nipples","tubes"];function xb(n){let t=n.slice(0,4);if(!Pp[t])throw new Error(`an array that begins with ${JSON.stringify(t)} cannot be read`);let e=atob(n.slice(4));if(e.length%(Number(t.slice(1,3))/8))throw new Error("an array is cut short");let i=new Uint8Array(e.length);for(let s=0;s<e.length;s+=1)i[s]=e.charCodeAt(s);return Pp[t](i)}function vb(n){let t=new Float32Array(n.length/3);for(let e=0,i=0;e<t.length;e+=1,i+=3)t[e]=(n[i]<<8|n[i+1]<<16|n[i+2]<<24)/256e3;return t}function Ba(n){let t=JSON.parse(n);if(t.format!==1)throw new Error(`this page reads format 1, and the lay has ${JSON.stringify(t.format)}`);for(let e of[...Lp,"forms"])t[e].forEach(yb);for(let e of t.tubes)e.points=e.corners?Ip(e.corners,e.radii):null;return t.index=Object.fromEntries(Lp.map(e=>[e,Mb(t[e])])),t}function yb(n){for(let t of _b)typeof n[t]=="string"&&(n[t]=xb(n[t]))}function Mb(n){return new Map(n.map((t,e)=>[t.name,e]))}function Np(n=navigator,t=document){let e=!1,i=null;async function s(){try{e&&t.visibilityState==="visible"&&(!i||i.released)&&(i=await n.wakeLock.request("screen")),!e&&i&&(await i.release(),i=null)}catch{i=null}}let r=Promise.resolve(),o=()=>r=r.then(s);return t.addEventListener("visibilitychange",o),a=>{e=a,o()}}function ka(n){let t=new Set,e=[];for(let i of n){let{run:s,stage:r}=i,o=e.at(-1);o?.run.number===s.number&&o.stage===r?o.steps.push(i):e.push({run:s,stage:r,goesOn:t.has(s.number),steps:[i]}),t.add(s.number)}return e}function za(n){let t=n.work.filter(a=>n.tubes[a.tube].points),e=Sb(t),i=new Map,s=t.map(a=>{let l=e.get(Up(a)),c=(i.get(l)??0)+1;return i.set(l,c),{tube:a.tube,entry:a,stage:a.stage,run:{number:l.number,of:e.size,says:n.runs[a.run].says},place:{number:c,of:l.count}}}),r=new Set(s.map(a=>a.tube)),o=n.tubes.flatMap((a,l)=>r.has(l)?[]:[{tube:l,why:bb(n,l)}]);return{steps:s,aside:o}}function Mr(n,t,e){for(let i=1;i<=n.length;i+=1){let s=(e+i)%n.length;if(!t.has(n[s].tube))return s}return null}function Dp(n,t,e,i){let s=e.trim().toLowerCase(),r=n.map((l,c)=>c);if(!s)return r;let o=r.filter(l=>t[n[l].tube].tag.toLowerCase()===s);if(o.length)return o;let a=new Set(i(e));return r.filter(l=>a.has(n[l].tube))}function Sr(n,t){let e=t.at_start,[i,s]=e?[n.from,n.to]:[n.to,n.from],r=t.first_end.startsWith(`${i}: `);return{end:i,other:s,isFrom:e,why:r?t.first_end.slice(i.length+2):t.first_end}}function Up({stage:n,run:t}){return JSON.stringify([n,t])}function Sb(n){let t=new Map;for(let e of n){let i=Up(e);t.has(i)||t.set(i,{number:t.size+1,count:0}),t.get(i).count+=1}return t}function bb(n,t){let e=n.findings.find(o=>o.rule==="no_way"&&o.tubes.includes(t));if(e)return e.says;let{hidden:i,points:s,left:r}=n.tubes[t];return i?`Its run is not seen: ${i}`:s?r??"It is not in the order of work.":"It has no route: nobody has drawn or taped one, and no plan has laid it."}function Va(n,t){let e=[`${Math.ceil(n-1e-6)} mm`,hn(n,"in")];return t==="in"?e.reverse():e}function Hc(n){let t=`run ${n.run.number} of ${n.run.of}, tube ${n.place.number} of ${n.place.of}`;return n.stage?`Stage “${n.stage}”: ${t}`:Le(t)}function Fp(n,t,e){return`${[`Tube ${n.tag}, from ${n.from} to ${n.to}`,`${Sr(n,t.entry).end} first`,...t.entry.through.length?[`through ${t.entry.through.join(", then ")}`]:[],...t.entry.passes,...t.entry.length===null?[]:[Va(t.entry.length,e)[0]],Hc(t)].join("; ")}.${t.entry.look_out.length?` Look out: ${t.entry.look_out.join("; ")}.`:""}`}function Bp(n,t,e,i,s){let r=n.tubes[t.tube],{entry:o}=t,a=Sr(r,o);return y("article.bench-tube",{},t.run.says?y("p.bench-run",{},i.sentence(t.run.says)):null,y("div.bench-title",{},y("h2",{class:wb(r.tag)},y("span.unseen",{},"Tube "),xt(r.tag)),r.name===r.tag?null:y("p",{},xt(r.name)),r.label?y("p",{},"label ",xt(r.label)):null,e?y("p.bench-laid",{},"laid"):null,e?y("button",{onclick:s},"Take the tick off"):null),y("dl.bench-ends",{},Op("From",r.from,a.isFrom&&a,i),Op("To",r.to,!a.isFrom&&a,i)),o.length===null?null:Tb(o.length,i),y("dl.bench-facts",{},Ab(o)),Cb(o,i),y("dl.bench-facts",{},Eb(o,i),Ga("Tubing",Rb(r,i))))}function wb(n){return n.length<=8?null:n.length<=40?"long":"longest"}function Op(n,t,e,i){if(!e)return y("div",{},y("dt",{},n),y("dd",{},xt(t)));let s=e.why?y("p.bench-why",{},i.sentence(e.why)):null,r=y("span.bench-first",{},"this end first");return y("div.first",{},y("dt",{},n),y("dd",{},xt(t),r,s))}function Tb(n,t){let e=t.shown(i=>{let[s,r]=Va(n,i);return[y("strong",{},s),y("span",{},r)]});return y("p.bench-length",{},y("span.bench-term",{},"Length"),e)}function Ga(n,...t){return y("div",{},y("dt",{},n),y("dd",{},...t))}function Ab(n){return n.through.length?Ga("Through",...n.through.flatMap((t,e)=>e?[", then ",xt(t)]:[xt(t)])):Ga("Through","no passage")}function Eb(n,t){return n.passes.length?Ga("Lies",y("ul",{},...n.passes.map(e=>y("li",{},t.sentence(e))))):null}function Rb(n,t){return[xt(ja(n.tubing)),", outside ",t.fine(n.outside),`, ${n.carries}`]}function Cb(n,t){if(!n.look_out.length)return null;let e=n.look_out.map(i=>y("li",{},t.sentence(i)));return y("section.bench-look-out",{},y("h3",{},"Look out"),y("ul",{},...e))}function kp(n,t,e){let i=t.steps.length?`${ae(t.steps.length,"tube")} to lay, ${ae(t.laidCount(),"tube")} laid.`:"There is no order of work.";return y("article.bench-cautions",{},y("p",{},xt(n.title)),y("h2",{},"Before you begin"),y("p",{},i),br(n,e),t.steps.length?null:_s(n,t,e))}function br(n,t){let e=[...n.cautions,...n.safety];return y("ul.heeded",{},...e.map(i=>y("li",{},t.sentence(i),".")))}function zp(n,t,e){let i=t.steps.length,s=i===1?"The one tube of the order of work is laid.":`All ${i} tubes are laid.`;return y("article.bench-end",{},y("h2",{},"Laid"),y("p",{},s),_s(n,t,e))}function _s(n,t,e){if(!t.aside.length)return null;let i=t.aside.map(({tube:r,why:o})=>y("li",{},y("strong",{},xt(n.tubes[r].tag))," ",Vp(n.tubes[r]),y("p",{},e.sentence(o)))),s=`${Le(ae(t.aside.length,"tube"))} not in the order of work`;return y("section.bench-aside",{},y("h3",{},s),y("ul",{},...i))}function Gp(n,t,e,i){let s=t.laid(),r=new Map(e.map(l=>[t.steps[l],l])),o=l=>{let c=r.get(l);return Ib(n,l,s.has(l.tube),c===t.at(),()=>i(c))},a=ka([...r.keys()]).map(({run:l,stage:c,goesOn:h,steps:d})=>{let u=`${c?`Stage “${c}”, run`:"Run"} ${l.number}${h?", continued":""}`,f=Cr([u,l.says].filter(Boolean).join(": "));return y("section",{},y("h3",{},f),y("ol",{},...d.map(o)))});return y("div.bench-order",{},...a.length?a:[y("p",{},"No tube answers to that.")])}function Ib(n,t,e,i,s){let r=n.tubes[t.tube],o=y("button",{onclick:s,"aria-current":i?"step":null},y(e?"span.bench-box.ticked":"span.bench-box",{"aria-hidden":"true"},e?"✓":""),y("span.unseen",{},e?"Laid: ":"To lay: "),y("strong",{},xt(r.tag)),Vp(r));return y("li",{},o)}function Vp(n){return y("span.bench-between",{},xt(n.from)," to ",xt(n.to))}var Pb=new Set(["hole","tube","number","no","nr","pneumatic","tag","passage","to","from","the"]),xs=1/0;function Wc(n){return(n.normalize("NFKD").replace(/\p{M}/gu,"").toLowerCase().match(/\p{L}+|\p{N}+/gu)??[]).map(i=>/^\d+$/.test(i)?i.replace(/^0+(?=\d)/,""):i)}function Ha(n){let t=n.map(e=>[...[e.to,e.from,e.tag,e.label??"",e.name,...e.through].map(Wc),...[e.tubing,e.carries].map(i=>Wc(i).filter(s=>!/\d/.test(s)))]);return e=>{let i=Lb(Wc(e),t);for(let s of[Nb,Db,Ub]){let r=t.flatMap((o,a)=>s(o,i)?[a]:[]);if(r.length)return r}return[]}}function Lb(n,t){let e=n.filter(i=>!Pb.has(i)||t.some(s=>s.some(r=>r.includes(i))));return e.length?e:n}function Nb(n,t){let e=i=>i.some((s,r)=>t.every((o,a)=>Hp(i[r+a],o)));return!t.length||n.some(e)}function Db(n,t){return t.every(e=>n.some(i=>i.some(s=>Hp(s,e))))}function Ub(n,t){return t.every(e=>n.some(i=>i.some(s=>s.includes(e))))}function Hp(n,t){return n===void 0?!1:/^\p{N}/u.test(t)?n===t:n.startsWith(t)}var Xc={name:n=>n.tag||n.name,length:n=>n.length??xs,bend:n=>n.bend?.radius??xs,clearance:n=>n.clearance?.mm??xs};function Wp(n,t,e){let i=Xc[t],s=new Intl.Collator("en",{numeric:!0});return n.map((o,a)=>a).sort((o,a)=>{let[l,c]=[i(n[o]),i(n[a])];if(l===c)return o-a;if(l===xs||c===xs)return l===xs?1:-1;let h=typeof l=="string"?s.compare(l,c):l-c;return e*h||o-a})}var Ob=16e6;function Xp(n,t){let{lay:e,course:i,texts:s}=n,r=y("div"),o=Ha(e.tubes),a=d=>{i.go(d),n.sheet="tube",t()},l=()=>Dp(i.steps,e.tubes,n.words,o),c=()=>r.replaceChildren(Gp(e,i,l(),a));c();let h=y("input",{type:"search",autocomplete:"off",enterkeyhint:"go",oninput:d=>{n.words=d.target.value,c()},onkeydown:d=>{d.key==="Enter"&&(d.preventDefault(),l().length&&a(l()[0]))}});return y("article.bench-list",{},y("h2.unseen",{},"All tubes"),y("label.bench-ask",{},y("span",{},"Tube, by its tag"),h),r,_s(e,i,s),Fb(n,t),y("section.bench-cautions",{},y("h3",{},"What to heed"),br(e,s)))}function Fb(n,t){let e=y("input",{type:"file",accept:".json,application/json",hidden:!0,"aria-label":"File of ticks"});e.addEventListener("change",async()=>{await kb(n,e.files[0]),t()});let i=()=>{n.course.take([],"all ticks taken off"),t()};return y("section.bench-files",{},y("h3",{},"Ticks"),y("button",{onclick:()=>Bb(n)},"Save to a file"),y("button",{onclick:()=>e.click()},"Read from a file"),y("button",{onclick:i,disabled:n.ticks.count()===0},"Take all off"),e)}function Bb(n){let{name:t,text:e}=n.ticks.save(new Date),i=URL.createObjectURL(new Blob([e],{type:"application/json"})),s=y("a",{href:i,download:t});document.body.append(s),s.click(),s.remove(),setTimeout(()=>URL.revokeObjectURL(i),6e4)}async function kb(n,t){if(!t)return;let e=t.size>Ob?{problem:"This file is too large to hold ticks."}:await zb(n,t);if(e.problem){n.notice=`${e.problem} Nothing was changed.`;return}n.notice=e.says,n.course.take(e.indexes,"ticks read")}async function zb(n,t){try{return n.ticks.read(await t.text())}catch{return{problem:"This file could not be read."}}}var Gb=200;function qp(n,t){let{steps:e,aside:i}=za(n),s=[],r=Mr(e,t.all(),-1);function o(c){s.push({laid:t.all(),at:r,says:c}),s.length>Gb&&s.shift()}function a(c,h){o(h),t.set(e[r].tube,c)}let l=()=>n.tubes[e[r].tube].tag;return{steps:e,aside:i,at:()=>r,step:()=>r===null?null:e[r],laid:()=>t.all(),laidCount:()=>e.filter(c=>t.has(c.tube)).length,last:()=>s.at(-1)?.says??null,done(){r!==null&&(t.has(e[r].tube)||a(!0,`tube ${l()} ticked`),r=Mr(e,t.all(),r))},untick(){r!==null&&t.has(e[r].tube)&&a(!1,`tick taken off tube ${l()}`)},take(c,h){o(h),t.replace(c),r=Mr(e,t.all(),-1)},undo(){let c=s.pop();c&&(t.replace(c.laid),r=c.at)},back(){e.length&&(r=Math.max(0,(r??e.length)-1))},ahead(){r!==null&&(r=r+1<e.length?r+1:Mr(e,t.all(),-1)===null?null:r)},go(c){e[c]&&(r=c)}}}var vs="routeviz ticks",Yp=1,Vb=4e6;function Zp(n,t=Zb()){let e=n.tubes.map(l=>l.name),i=`${vs}: ${JSON.stringify([n.title,Yb(e)])}`,s=Jb(t,i),r=new Set(s.laid===null?[]:qc(e,s.laid).indexes),o=s.stored,a=()=>{o=Kb(t,i,{title:n.title,laid:$p(e,r)})};return{has:l=>r.has(l),set(l,c){c?r.add(l):r.delete(l),a()},count:()=>r.size,all:()=>new Set(r),replace(l){r.clear();for(let c of l)r.add(c);a()},save:l=>$b(n,$p(e,r),l),read:l=>Hb(l,n.title,e),earlier:()=>jb(t,i,n.title,e),stored:()=>o}}function Hb(n,t,e){if(n.length>Vb)return{problem:"This file is too large to hold ticks."};let i=$c(n),s=Xb(i,t);if(s)return{problem:s};let{indexes:r,lost:o}=qc(e,i.laid);if(r.length===0&&o>0)return{problem:"None of the tubes ticked in this file is in this lay."};let a=i.saved?` from the file saved ${i.saved.slice(0,16).replace("T"," at ")}`:"";return{indexes:r,lost:o,says:`${Le(ae(r.length,"tick"))} read${a}.${Wb(o)}`}}function Wb(n){return n===0?"":n===1?" 1 tube ticked there is no longer in this lay.":` ${n} tubes ticked there are no longer in this lay.`}function Xb(n,t){if(!(n!==null&&typeof n=="object"&&n.what===vs))return"This is not a file of ticks saved from this page.";if(n.format!==Yp)return"These ticks were saved by another version of this page.";let i=Array.isArray(n.laid)&&n.laid.every(r=>typeof r=="string"),s=n.saved===void 0||typeof n.saved=="string";return!i||!s||typeof n.title!="string"?"This file of ticks is damaged.":n.title!==t?`These ticks belong to another scene, “${qb(n.title)}”.`:""}function qb(n){let t=[...n];return t.length>60?`${t.slice(0,60).join("")}…`:n}function $b(n,t,e){let i=e.toISOString(),s=JSON.stringify({what:vs,format:Yp,title:n.title,saved:i,laid:t},null,1);return{name:`${[...n.title.replace(/[^\p{L}\p{N}]+/gu,"-").replace(/^-+|-+$/g,"")].slice(0,40).join("")||"lay"}-ticks-${i.slice(0,10)}.json`,text:`${s}
`}}function qc(n,t){let e=new Map(n.map((r,o)=>[r,o])),i=[...new Set(t)],s=i.filter(r=>e.has(r)).map(r=>e.get(r));return{indexes:s,lost:i.length-s.length}}function $p(n,t){return n.filter((e,i)=>t.has(i))}function $c(n){try{return JSON.parse(n)}catch{return null}}function Yb(n){let t=2166136261,e=461845907;for(let i of JSON.stringify(n))t=Math.imul(t^i.codePointAt(0),16777619),e=Math.imul(e,31)+i.codePointAt(0);return`${n.length} ${(t>>>0).toString(16)} ${(e>>>0).toString(16)}`}function Zb(){try{return globalThis.localStorage??null}catch{return null}}function Jb(n,t){try{let e=$c(n.getItem(t)??"null");return n.setItem(`${vs}: trial`,"1"),n.removeItem(`${vs}: trial`),{laid:Jp(e)?e.laid:null,stored:!0}}catch{return{laid:null,stored:!1}}}function Jp(n){return n!==null&&typeof n=="object"&&Array.isArray(n.laid)}function Kb(n,t,e){try{return n.setItem(t,JSON.stringify(e)),!0}catch{return!1}}function jb(n,t,e,i){try{let a=Array.from({length:n.length},(l,c)=>n.key(c)).filter(l=>l.startsWith(vs)&&l!==t).map(l=>$c(n.getItem(l))).filter(l=>Jp(l)&&l.title===e).map(l=>qc(i,l.laid)).filter(({indexes:l})=>l.length);return a.sort((l,c)=>c.indexes.length-l.indexes.length),a[0]??null}catch{return null}}var Qb="This browser keeps no ticks: save them to a file before you close the page.";function Qp(n,t,e){let i={lay:t,state:e,...tm(t,e),sheet:"cautions",words:"",notice:"",heard:null};i.parts=ew(i),n.classList.add("bench"),n.replaceChildren(...Object.values(i.parts.rows)),i.ticks.stored()||(i.notice=Qb),lw(i);let s=Np(),r=()=>s(e.get().mode==="bench");return e.on("mode",()=>{r(),Qn(i)}),e.on("unit",()=>em(i)),document.addEventListener("keydown",o=>hw(i,o)),r(),Qn(i),{replace:o=>tw(i,o)}}function tm(n,t,e=null){let i=Zp(n);return e&&i.replace(e),{ticks:i,course:qp(n,i),texts:zn(n,t)}}function tw(n,t){let e=[...n.course.laid()].map(a=>n.lay.tubes[a].name),i=n.lay.tubes[n.course.step()?.tube]?.name,s=e.filter(a=>t.index.tubes.has(a));n.texts.end();let r=e.length?s.map(a=>t.index.tubes.get(a)):null;Object.assign(n,{lay:t,offer:null,heard:null},tm(t,n.state,r)),n.course.go(n.course.steps.findIndex(a=>t.tubes[a.tube].name===i));let o=e.length-s.length;o&&(n.notice=`No longer in this lay: ${ae(o,"tube")} that ${o===1?"was":"were"} ticked.`),Qn(n)}function ew(n){let t=g=>M=>{M.detail>1||(g(),Qn(n))},e=()=>n.course,i=y("button.bench-main",{onclick:t(()=>Yc(n))}),s=y("button",{onclick:t(()=>Wa(n,()=>e().back()))},"Back"),r=y("button",{onclick:t(()=>Wa(n,()=>e().ahead()))},"Ahead"),o=y("button",{onclick:t(()=>wr(n,n.sheet==="list"?"tube":"list"))},"All tubes"),a=y("div.bench-progress",{role:"progressbar","aria-label":"Tubes laid","aria-valuemin":"0"},y("span")),l=y("button",{onclick:t(()=>iw(n))}),c=y("p.bench-where"),h=y("p.bench-count"),d=y("p.unseen",{role:"status","aria-live":"polite"}),u=y("div.bench-notice"),f=y("div.bench-sheet",{tabindex:"0",role:"region","aria-label":"At the bench"});return{main:i,back:s,ahead:r,list:o,undo:l,progress:a,where:c,count:h,heard:d,notice:u,sheet:f,rows:{head:y("div.bench-head",{},a,c,h),sheet:f,notice:u,bar:y("div.bench-bar",{},s,r,o,l,i),heard:d}}}function wr(n,t){n.sheet=t,n.words=""}function nw(n,t){t.preventDefault(),wr(n,"tube"),Qn(n)}function Wa(n,t){n.sheet==="tube"&&t(),wr(n,"tube")}function Yc(n){n.notice="",n.sheet==="tube"&&n.course.done(),wr(n,"tube")}function iw(n){n.course.undo(),n.notice="",wr(n,"tube")}function Qn(n){n.texts.end(),n.texts=zn(n.lay,n.state);let{course:t,parts:e,lay:i,state:s,texts:r}=n;!t.steps.length&&n.sheet==="tube"&&(n.sheet="cautions");let o=t.step(),a=t.laid(),l=()=>{t.untick(),Qn(n)},c={cautions:()=>kp(i,t,r),tube:()=>o?Bp(i,o,a.has(o.tube),r,l):zp(i,t,r),list:()=>Xp(n,()=>Qn(n))}[n.sheet](),h=Kp(n,document.activeElement),d=`${n.sheet} ${t.at()}`;e.sheet.replaceChildren(c),d!==n.page&&n.page&&(e.sheet.scrollTop=0),n.page=d,sw(n,o,a),aw(n),ow(n),em(n),h&&!Kp(n,document.activeElement)&&e[e.main.hidden?"list":"main"].focus();let u=n.sheet==="cautions"?null:o?.tube??null;s.get().mode!=="bench"?s.set({laid:a}):s.set(u===s.get().now?{laid:a}:{laid:a,now:u,chosen:null})}function Kp({parts:n},t){return Object.values(n.rows).some(e=>e.contains(t))}function sw({course:n,parts:t,sheet:e},i,s){let r=e==="tube";t.main.textContent=rw(n,e,i,s),t.main.hidden=!n.steps.length||r&&!i,t.back.disabled=!n.steps.length||r&&n.at()===0,t.ahead.disabled=!i||!r;let o=n.last();t.undo.disabled=o===null,t.undo.replaceChildren("Undo",...o===null?[]:[y("small",{},o)]),t.list.textContent=e==="list"?"Close":"All tubes",t.list.setAttribute("aria-expanded",String(e==="list"))}function rw(n,t,e,i){return t==="cautions"?n.laidCount()?"Go on":"Begin":t==="list"?"Back to work":e&&i.has(e.tube)?"Next to lay":"Done, next"}function ow({course:n,parts:t,sheet:e}){let i=e==="tube"?n.step():null;t.where.textContent=i?Hc(i):"";let[s,r]=[n.laidCount(),n.steps.length];t.count.textContent=r?`${s} of ${ae(r,"tube")} laid`:"No tubes to lay",t.progress.setAttribute("aria-valuemax",String(r)),t.progress.setAttribute("aria-valuenow",String(s)),t.progress.firstChild.style.width=`${r?100*s/r:0}%`}function aw(n){let t=s=>()=>{s(),Qn(n)},e=[],i=t(()=>n.notice="");n.notice&&e.push(y("p",{},n.notice,y("button",{onclick:i},"Understood"))),n.offer&&e.push(cw(n,t)),n.parts.notice.replaceChildren(...e)}function lw(n){let t=n.ticks.count()?null:n.ticks.earlier();n.offer=t}function cw(n,t){let{indexes:e}=n.offer,i=`Ticks of an earlier state of this scene are here: ${ae(e.length,"tube")} of it.`,s=t(()=>{n.course.take(e,"ticks taken over"),n.offer=null}),r=t(()=>n.offer=null);return y("p",{},i,y("button",{onclick:s},"Take them"),y("button",{onclick:r},"Leave them"))}function em(n){let{course:t,parts:e,state:i,lay:s,texts:r}=n,o=t.step();if(n.sheet!=="tube"||i.get().mode!=="bench")return;let a=o?Fp(s.tubes[o.tube],o,i.get().unit):"All tubes of the order of work are laid.",l=t.last()===n.heard?"":`${t.last()??""} `;n.heard=t.last(),e.heard.textContent=l+r.plain(a)}var jp={ArrowLeft:n=>Wa(n,()=>n.course.back()),ArrowRight:n=>Wa(n,()=>n.course.ahead()),Enter:Yc," ":Yc};function hw(n,t){if(n.state.get().mode!=="bench"||t.repeat||(t.key==="Escape"&&n.sheet==="list"&&!t.defaultPrevented&&nw(n,t),!jp[t.key])||t.ctrlKey||t.altKey||t.metaKey||t.defaultPrevented)return;let e=t.key.startsWith("Arrow")?"input, select, textarea, canvas":"input, select, textarea, canvas, button, a, summary";t.target.closest?.(e)||(t.preventDefault(),jp[t.key](n),Qn(n))}function nm(n,t){let{lay:e,state:i}=t;if(!e.findings.length){let a=e.tubes.length?"Nothing was found: every limit is kept. What was measured, and what was not looked at, stands below under “How it was proved”. To lay the tubes one by one, turn to Bench.":"There is nothing to check yet.";n.append(y("p.plain",{},a));return}let s=uw(t),r=e.findings.map((a,l)=>dw(a,l,t));n.append(y("div",{},s,y("ol.findings",{"aria-label":"Findings, worst first"},...r)));let o=()=>r.forEach((a,l)=>mw(a,Si(i.get(),"finding",l)));t.until(i.on("chosen",o)),o()}function uw({lay:n,state:t,until:e}){let i=y("span.where"),s=()=>{let{chosen:r}=t.get(),o=n.findings.length;i.textContent=r?.kind==="finding"?`${r.index+1} of ${o}`:`${o} in all`};return e(t.on("chosen",s)),s(),y("div.stepping",{role:"group","aria-label":"From finding to finding"},y("button",{onclick:()=>ws(n,t,-1)},"Previous"),i,y("button",{onclick:()=>ws(n,t,1)},"Next"))}function dw(n,t,e){let{state:i,texts:s}=e,r=n.lines.map(a=>y("span.line",{},xt(a))),o=y("button.head",{"aria-pressed":"false",onclick:()=>He(i,"finding",t)},cn(n.severity,n.number),y("span.kind",{},`${bi(n)} ${n.number}`),y("span.rule",{},n.rule),y("span.about",{},...pw(n)));return y("li",{class:`finding ${n.severity}`},y("h3",{},o),y("p.says",{},s.sentence(n.says)),fw(n,s),n.remedy?y("p.remedy",{},y("b",{},"Remedy.")," ",s.sentence(n.remedy)):null,y("p.aside",{},...n.point?[]:[y("span",{},"It has no place in the case to show.")],...r))}function fw(n,t){return An([["Measured",Tr(n.measured,n.unit,t)],["Allowed",Tr(n.allowed,n.unit,t)],["Travel",n.travel===null?null:En(n.travel)]])}function pw({subject:n,other:t}){return t&&t!==n?[xt(n)," – ",xt(t)]:[xt(n)]}function Tr(n,t,e){if(n===null)return null;if(t==="mm")return e.fine(n);let i=Number(n.toFixed(1)),s=i===1?t.replace(/s$/,""):t,r={deg:"°",percent:" %","":""}[t]??` ${s}`;return y("span.figure",{},`${i}${r}`.replace("-","−"))}function mw(n,t){n.classList.toggle("chosen",t),n.querySelector(".head").setAttribute("aria-pressed",String(t)),t&&n.scrollIntoView({block:"nearest"})}function Xa(n,t){return n.map(e=>gw(e,t))}function gw(n,{lay:t,texts:e}){return y("details.known",{},y("summary",{},e.sentence(Ka(t,n))),An([["Status",[n.status,t.signs.doubts[n.status]?.says].filter(Boolean).join(": ")],["Of",n.values.length?n.values.join("; "):"all its values"],["Why",n.why&&e.sentence(n.why)],["Source",n.source&&e.sentence(n.source)],...sm(n,e)]))}function im({lay:n,texts:t}){if(!n.known?.status)return null;let e=sm(n.known,t).flatMap(([i,s])=>s?[`, ${i.toLowerCase()} `,s]:[]);return y("p.plain",{},`${Le(n.known.status)}, where nothing else is told`,...e,".")}function sm(n,t){return[["With",n.with&&xt(n.with)],["Within",n.spread===void 0?null:t.fine(n.spread)],["By",n.by&&xt(n.by)],["On",n.on]]}var am={shown:"faded",faded:"hidden",hidden:"shown"};function lm(n,t){let{lay:e,state:i}=t;if(e.parts.length){let s=e.parts.map(o=>xw(o,t));n.append(_w(t)),n.append(...[im(t),y("ul.part-list",{},...s.map(o=>o.element))].filter(Boolean));let r=()=>s.forEach(o=>o.show(i.get().parts));t.until(i.on("parts",r)),r()}else n.append(y("p.plain",{},"This scene has no parts yet."));e.legend.length&&n.append(y("h2",{},"What it means"),yw(e))}function _w({lay:n,state:t}){let e=i=>()=>t.set({parts:i==="shown"?{}:Object.fromEntries(n.parts.map(({name:s})=>[s,i]))});return y("div.every",{role:"group","aria-label":"All parts at once"},y("span",{},"All parts"),...Object.keys(am).map(i=>y("button",{onclick:e(i)},cm(i),i)))}function xw(n,t){let{lay:e,state:i}=t,s=y("span.how"),r=y("span.kind",{},[n.kind.replaceAll("_"," "),Mi(e,n.name)].filter(Boolean).join(", ")),o=y("button",{onclick:()=>vw(n.name,i)},xt(n.name),r,s),a=l=>{let c=l[n.name]??"shown";s.replaceChildren(cm(c),c),o.dataset.how=c};return{element:y("li",{},o,...Xa(n.known,t)),show:a}}function vw(n,t){let{parts:e}=t.get(),{[n]:i="shown",...s}=e,r=am[i];t.set({parts:r==="shown"?s:{...s,[n]:r}})}function cm(n){let t={shown:[0,12],faded:[6,6],hidden:[12,0]}[n];return Ae("svg",{class:"glyph",viewBox:"-1 -1 14 14","aria-hidden":"true"},Ae("rect",{x:0,y:0,width:12,height:12,class:"rim"}),Ae("rect",{x:0,y:t[0],width:12,height:t[1],class:"fill"}))}function yw(n){return y("ul.legend",{},...n.legend.map(t=>y("li",{},Mw(t,n),y("span",{},t.text))))}function Mw(n,t){if(n.form==="badge")return cn(n.severity);let e=typeof n.look=="number"?t.looks[n.look]:n.look,i=Ae("svg",{class:"swatch",viewBox:"0 0 48 20","aria-hidden":"true"});return i.append(...(om[n.form]??om.solid)(e)),i}var Zc=n=>Ae("rect",{x:1,y:6,width:46,height:8,rx:4,fill:n.colour,stroke:n.outline??n.line}),rm=(n,t,e)=>Array.from({length:Math.ceil(46/e)},(i,s)=>s*e+4).filter(i=>i+t<46).map(i=>Ae("rect",{x:i,y:6,width:t,height:8,fill:n.second})),om={tube:n=>[Zc(n)],"fault tube":n=>[Zc(n),...rm(n,7,14)],"caution tube":n=>[Zc(n),...rm(n,2.5,13)],solid:n=>[Ae("rect",{x:1,y:3,width:46,height:14,fill:n.colour,"fill-opacity":n.opacity,stroke:n.line})],doubt:n=>[Ae("rect",{x:1,y:3,width:46,height:14,stroke:n.line,"stroke-width":1.4,fill:n.colour,"fill-opacity":n.opacity,"stroke-dasharray":n.dashes.join(" ")})],lines:n=>[Ae("path",{d:"M2 10H46",stroke:n.line,"stroke-width":2.5,fill:"none"})],dots:n=>[12,24,36].map(t=>Ae("circle",{cx:t,cy:10,r:3,fill:n.colour})),hatched:n=>[Ae("rect",{x:1,y:3,width:46,height:14,fill:"none",stroke:n.line,"stroke-dasharray":"4 3"}),Ae("path",{d:"M8 17 18 3M20 17 30 3M32 17 42 3",stroke:n.line,fill:"none"})]};function hm(n,t){let{lay:e,state:i}=t;if(!e.passages.length){n.append(y("p.plain",{},"This scene names no passages."));return}let s=e.passages.map((o,a)=>Sw(o,a,t));n.append(...s);let r=()=>s.forEach((o,a)=>ww(o,Si(i.get(),"passage",a)));t.until(i.on("chosen",r)),r()}function Sw(n,t,e){let{state:i,texts:s}=e,r=y("button.head",{"aria-pressed":"false",onclick:()=>Ir(i,"passage",t)},xt(n.name),y("span.does",{},"show it cut"));return y("article.passage",{},y("h3",{},r),Jc(n),An([["Go through",ae(n.tubes.length,"tube")],["Holds",Kc(n)],["Wanted",n.most===null?null:`at most ${n.most}`],["Thick",n.thick?s.length(n.thick):null]]),bw(n,e))}function Jc(n){if(!n.plate)return null;let t=new DOMParser().parseFromString(n.plate,"image/svg+xml");if(t.querySelector("parsererror"))return y("p.plain",{},"The plate of this passage cannot be read.");let e=document.importNode(t.documentElement,!0);e.querySelectorAll("script, foreignObject").forEach(s=>s.remove());let i=`Section of ${n.name}, with the numbers of the tubes. Seen ${n.seen}.`;return e.setAttribute("role","img"),e.setAttribute("aria-label",i),y("figure.plate",{},e)}function Kc({holds:n}){if(!n)return null;let[t,e]=n;return t===e?`${t}`:`${t} for certain, ${e} at the very most`}function bw(n,{lay:t,state:e}){if(!n.tubes.length)return null;let i=n.tubes.map(s=>{let r=t.tubes[s],o={title:Ts(r),onclick:()=>He(e,"tube",s)};return y("button.link",o,xt(r.tag||r.name))});return y("div.links.through",{role:"group","aria-label":"Tubes that go through"},...i)}function ww(n,t){n.classList.toggle("chosen",t),n.querySelector(".head").setAttribute("aria-pressed",String(t)),t&&n.scrollIntoView({block:"nearest"})}var Tw=["fault","caution","note"],Aw=[["/","find a tube"],["n, p","next and previous finding"],["Esc","one step back"],["arrows","turn the case, once it is chosen by Tab; with Shift, move it"],["+, −, Home","nearer, farther, all of it"]];function jc(n,{lay:t}){let e=Tw.filter(i=>t.counts[i]||i==="fault");n.replaceChildren(y("h1",{dir:"auto",title:t.title},t.title),y("p.counts",{},y("span",{},ae(t.tubes.length,"tube")),...e.map(i=>y("span",{},t.counts[i]?cn(i):null,ae(t.counts[i],i)))))}function um(n,{lay:t}){n.append(y("p",{class:t.plan?.stale?"plan stale":"plan"},xt(t.scene),": ",Rw(t)))}function dm(n,{lay:t,texts:e}){let i=(s,r)=>r.length?[y("h2",{},s),y("ul.prose",{},...r.map(o=>y("li",{},e.sentence(o),Ew(o))))]:[];n.append(...i("Before work begins",[...t.cautions,...t.safety]),...i("Runs",t.runs.map(s=>s.says)),...i("How it was proved",t.proved),y("section.by-keys",{},y("h2",{},"By the keyboard"),An(Aw)))}var Ew=n=>n.endsWith(".")?"":".";function Rw({plan:n,tubes:t}){if(!t.length)return"There are no tubes to lay.";if(!n){let e=t.filter(s=>!s.points&&!s.hidden).length,i="There is no plan beside it";return e?`${i}, and ${ae(e,"tube")} ${e===1?"has":"have"} no route yet.`:`${i}: every tube is drawn.`}if(n.stale){let e=n.laid===1?"lies":"lie";return`The plan beside it is stale: the scene has changed since, and ${`${ae(n.laid,"tube")} of ${t.length} still ${e} as it says`}. Plan anew before you cut.`}return`${Le(ae(n.laid,"tube"))} ${n.laid===1?"lies":"lie"} as planned.`}function fm(n,t){let{lay:e,texts:i}=t,s=e.tubes[n];return y("div.details",{},An([["Name",s.name===s.tag?null:xt(s.name)],["From",xt(s.from)],["To",xt(s.to)],["Label",s.label?xt(s.label):null],["Carries",s.carries],["Tubing",y("span",{},xt(s.tubing),", ",i.length(s.outside)," outside")],["Passages",Iw(s,t)],["Length",s.length===null?"It has no route yet.":i.length(s.length)],["Tightest bend",Pw(s,i)],["Least clearance",Lw(s,t)],["Nearest tube",pm(s.beside,i)],["Ties",s.ties?.length?Nw(s,i):"none"],["Route",Dw(s)],["Known",Uw(s,t)],["Cut to",s.cut===null?null:i.length(s.cut)],["Stage",s.stage?xt(s.stage):null],["Hidden",s.hidden?i.sentence(s.hidden):null],["Waits for",s.waits_for?i.sentence(s.waits_for):null],["Note",s.note?i.sentence(s.note):null],["Findings",Ow(n,t)]]),s.length===null?null:y("button.link",{onclick:()=>Cw(n,t)},"Look at it from near by"))}function Cw(n,{state:t}){t.set({chosen:{kind:"tube",index:n,near:!0}})}function Iw(n,{lay:t,state:e}){if(!n.through?.length)return"none";let i=n.through.map(s=>{let r=t.index.passages.get(s);return r===void 0?xt(s):y("button.link",{onclick:()=>He(e,"passage",r)},xt(s))});return y("span.links",{},...i)}function Pw(n,t){if(!n.bend)return n.length===null?null:"straight all the way";let{radius:e,least:i}=n.bend,s=i===null?[]:["; at least ",t.fine(i)];return y("span",{},t.fine(e)," to the centreline",...s)}function Lw(n,{lay:t,texts:e}){if(n.length===null)return null;let i=()=>y("span",{},"more than ",e.length(t.reach)," to anything but tubes");return pm(n.clearance,e)??i()}function pm(n,t){if(!n)return null;let e=n.travel===null?"":`, ${En(n.travel)}`;return y("span",{},t.fine(n.mm)," to ",xt(n.other),e)}function Nw(n,t){let e=new Map;for(let{to:s,along:r}of n.ties)e.set(s??"",[...e.get(s??"")??[],r]);let i=[...e].map(([s,r])=>y("li",{},...s?["to ",xt(s)," "]:[],t.shown(o=>`at ${r.map(a=>ni(a,o)).join(", ")} ${o}`)));return y("ul.plain-list",{},...i)}function Dw(n){return n.length===null?null:n.taped?"Fitted to the points that were taped on it":Le(n.planned?"as the plan lays it":"as the scene draws it")}function Uw(n,t){return n.known?.length?y("div",{},...Xa(n.known,t)):Ss(t.lay,n.status)}function Ow(n,{lay:t,state:e}){let i=t.findings.flatMap((s,r)=>s.tubes.includes(n)?[y("button.link",{onclick:()=>He(e,"finding",r)},cn(s.severity,s.number),`${bi(s)}: ${s.rule}`)]:[]);return i.length?y("span.links",{},...i):null}var Fw={name:"Tube",length:"Length",bend:"Tightest bend",clearance:"Clearance"};function mm(n,t){if(!t.lay.tubes.length){n.append(y("p.plain",{},"This scene has no tubes yet: there is only the case to look at."));return}new Qc(n,t)}var Qc=class{constructor(t,e){Object.assign(this,{page:e,view:e.view,open:null,details:[]}),this.answers=Ha(e.lay.tubes),this.rows=e.lay.tubes.map((i,s)=>Bw(i,s,e)),this.body=y("tbody",{onclick:i=>this.touched(i)}),this.count=y("p.count",{role:"status"}),this.heads=Object.fromEntries(Object.keys(Xc).map(i=>[i,this.head(i)])),t.append(this.search(),this.count,this.table()),this.headed(),this.fill(),e.until(e.state.on("chosen",()=>this.choose())),this.choose()}search(){this.field=y("input.search",{type:"search",id:"search",autocomplete:"off",spellcheck:"false",placeholder:"12, stack 12, bass …",value:this.view.query,oninput:()=>this.ask(this.field.value),onkeydown:e=>{e.key!=="Enter"||!this.field.value||(e.preventDefault(),this.openFirst())}});let t=y("label",{for:"search"},"Find by hole, pneumatic, tag or passage");return y("div.searching",{role:"search"},t,this.field)}table(){let e=y("caption.unseen",{},"Tubes, with their length, their tightest bend and the least clearance from what is no tube"),i=y("thead",{},y("tr",{},...Object.values(this.heads)));return y("table.tube-table",{},e,i,this.body)}head(t){let{texts:e}=this.page,i=t==="name"?[]:[y("span.unit",{},", ",e.shown(r=>r))],s=y("button",{onclick:()=>this.sort(t)},Fw[t],...i);return y("th",{scope:"col",class:t},s)}ask(t){this.view.query=t,this.fill()}openFirst(){let t=this.body.querySelector("tr[data-tube]");t&&(He(this.page.state,"tube",Number(t.dataset.tube)),t.querySelector("button").focus())}sort(t){let{column:e,way:i}=this.view;Object.assign(this.view,{column:t,way:e===t?-i:1}),this.headed(),this.fill()}headed(){let{column:t,way:e}=this.view;for(let[i,s]of Object.entries(this.heads))i===t?s.setAttribute("aria-sort",e>0?"ascending":"descending"):s.removeAttribute("aria-sort")}fill(){let{tubes:t}=this.page.lay,e=new Set(this.answers(this.view.query)),{column:i,way:s}=this.view,o=(i?Wp(t,i,s):t.map((c,h)=>h)).filter(c=>e.has(c));this.body.replaceChildren(...o.map(c=>this.rows[c])),this.placeDetails();let a=o.length===t.length,l=ae(t.length,"tube");this.count.textContent=a?l:`${o.length} of ${l}`,o.length||(this.count.textContent="No tube answers to that. A number, a tag or part of a name will do.")}touched(t){let e=t.target.closest("tr[data-tube]");e&&Ir(this.page.state,"tube",Number(e.dataset.tube))}choose(){let t=this.page.state.get(),e=this.rows.findIndex((i,s)=>Si(t,"tube",s));if(e!==(this.open?.k??-1)){this.open?.row.remove();for(let[i,s]of this.rows.entries())s.classList.toggle("chosen",i===e),s.querySelector("button").setAttribute("aria-expanded",String(i===e));this.open=e<0?null:{k:e,row:this.opened(e)},this.open&&this.unfold()}}unfold(){let{k:t,row:e}=this.open;this.rows[t].parentNode!==this.body&&this.ask(this.field.value=""),this.placeDetails();for(let i of[e,this.rows[t]])i.scrollIntoView({block:"nearest"})}opened(t){return this.details[t]??=y("tr.opened",{},y("td",{colspan:4},fm(t,this.page))),this.details[t]}placeDetails(){if(!this.open)return;let{k:t,row:e}=this.open;this.rows[t].parentNode===this.body?this.rows[t].after(e):e.remove()}};function Bw(n,t,{lay:e,texts:i}){let s=(a,l)=>y("td",{class:a},l==null?"–":i.figure(l)),r=n.severity?[cn(n.severity),y("span.unseen",{},` ${n.severity}`)]:[],o=n.length!==null&&!n.clearance;return y("tr",{"data-tube":t},y("th",{scope:"row"},y("button.open",{"aria-expanded":"false"},xt(n.tag||n.name),...r),y("span.way",{},xt(n.from)," to ",xt(n.to))),s("length",n.length),s("bend",n.bend?.radius),o?y("td.clearance",{},"> ",i.figure(e.reach)):y("td.clearance",{},kw(n,i)))}function kw({clearance:n},t){return n?t.shown(e=>{let i=ni(n.mm,e);return e==="in"&&i==="0"&&n.mm>0?"< 1/16":i}):"–"}var th=[["found","Found",n=>n.findings.length,[um,nm,dm]],["tubes","Tubes",n=>n.tubes.length,[mm]],["passages","Passages",n=>n.passages.length,[hm]],["parts","Parts",()=>null,[lm]],["bench","Bench",()=>null,[]]];function _m(n,t,e){let i=Object.fromEntries(th.map(([c,h])=>[c,zw(c,h)])),s=th.map(([c,h])=>Gw(c,h,e));n.replaceChildren(Vw(s,e),...Object.values(i));let r=()=>Ww(s,i,e.get().mode);e.on("mode",r),r();let o={query:"",column:null,way:1},a=gm(i,s,{lay:t,state:e,view:o}),l=Qp(i.bench,t,e);return{replace(c){let h=Object.values(i).map(d=>d.scrollTop);a(),a=gm(i,s,{lay:c,state:e,view:o}),l.replace(c),Object.values(i).forEach((d,u)=>d.scrollTop=h[u])}}}function gm(n,t,{lay:e,state:i,view:s}){let r=zn(e,i),o=[r.end],a={lay:e,state:i,view:s,texts:r,until:l=>o.push(l)};for(let[l,[c,h,d,u]]of th.entries()){let f=d(e);t[l].replaceChildren(h,...f===null?[]:[y("span.many",{},` ${f}`)]),u.length&&(n[c].replaceChildren(y("h2.unseen",{},h)),u.forEach(g=>g(n[c],a)))}return()=>o.forEach(l=>l())}function zw(n,t){return y(`div.panel.${n}`,{role:"tabpanel",id:`panel-${n}`,"aria-label":t,tabindex:"0"})}function Gw(n,t,e){return y("button.choice",{role:"tab",id:`choice-${n}`,"aria-controls":`panel-${n}`,onclick:()=>e.set({mode:n})},t)}function Vw(n,t){return y("div.choices",{role:"tablist","aria-label":"What the column shows",onkeydown:e=>Hw(e,n,t)},...n)}function Hw(n,t,e){let i={ArrowRight:1,ArrowLeft:-1}[n.key];if(!i)return;n.preventDefault();let s=t.findIndex(o=>o.id===`choice-${e.get().mode}`),r=t[(s+i+t.length)%t.length];e.set({mode:r.id.slice(7)}),r.focus()}function Ww(n,t,e){for(let i of n){let s=i.id===`choice-${e}`;i.setAttribute("aria-selected",String(s)),i.tabIndex=s?0:-1}for(let[i,s]of Object.entries(t))s.hidden=i!==e;document.body.dataset.mode=e}var Xw="The server of this page does not answer any more. What stands here is the last that it sent; to go on, call `routeviz page SCENE --watch` again and open the address that it prints.";function xm({onLay:n,onMessages:t,onGone:e}){let i=document.documentElement.dataset.live,s=new EventSource(`events?seen=${encodeURIComponent(i)}`),r=!1;return s.addEventListener("lay",o=>n(Ba(o.data))),s.addEventListener("messages",o=>{r=!1;let a=JSON.parse(o.data);t(a.length?a:null)}),s.addEventListener("error",()=>{r||e(Xw),r=!0}),()=>s.close()}function qa(n,t,e){let i=y("tr",{},...t.map(r=>y("th",{scope:"col"},r))),s=e.map(r=>y("tr",{},...r.map(o=>y("td",{},o))));return y(`table.${n}`,{},y("thead",{},i),y("tbody",{},...s))}function vm(n,t){let e=n.findings.map(r=>[y("span.printed-number",{},cn(r.severity,r.number),bi(r)),y("span",{},y("b",{},r.rule)," ",xt(r.subject??""),y("br"),t.sentence(r.says)),Tr(r.measured,r.unit,t),Tr(r.allowed,r.unit,t),r.remedy?t.sentence(r.remedy):null,y("span",{},...r.lines.flatMap((o,a)=>[a?y("br"):null,qw(o,n.scene)]))]),i=["No.","What was found","Measured","Allowed","Remedy","Where written"],s=y("p",{},"Nothing was found: every limit is kept.");return y("section",{},y("h2",{},"Findings"),e.length?qa("findings",i,e):s)}function qw(n,t){return n.startsWith(`${t}:`)?`line ${n.slice(t.length+1)}`:xt(n)}function ym(n,t){let e=[...new Set(n.tubes.map(a=>a.tubing))],i=n.tubes.map(a=>[y("b",{},xt(a.tag)),y("span",{},xt(a.from)," to ",xt(a.to)),xt(a.through.join(", ")),eh(e.indexOf(a.tubing)),a.length===null?"no route":t.length(a.length),a.bend?t.fine(a.bend.radius):a.length===null?null:"straight",$w(a,t),a.numbers.join(", ")]),s=["Tag","From, to","Through","Tubing","Length","Tightest bend","Least clearance","Found"],r=e.map((a,l)=>y("li",{},y("b",{},eh(l))," ",xt(a))),o=[y("ul.tubings",{},...r),qa("tubes",s,i)];return y("section",{},y("h2",{},"Tubes"),...i.length?o:[y("p",{},"There are no tubes.")])}function eh(n){return(n>=26?eh(Math.floor(n/26)-1):"")+String.fromCharCode(65+n%26)}function $w({clearance:n},t){if(!n)return null;let e=n.travel===null?"":`, ${En(n.travel)}`;return y("span",{},t.fine(n.mm)," to ",xt(n.other),e)}function Mm(n,t){if(!n.passages.length)return null;let e=n.passages.map(i=>{let s=i.tubes.flatMap((a,l)=>l?[", ",xt(n.tubes[a].tag)]:[xt(n.tubes[a].tag)]),r=Jc(i),o=Kc(i);return y("article.printed-passage",{},r?null:y("h3",{},xt(i.name)),r||!i.says?null:y("p",{},t.sentence(i.says),"."),r||!o?null:y("p",{},`It holds ${o}.`),r,y("p",{},y("b",{},"Tubes: "),...s.length?s:["none"]))});return y("section",{},y("h2",{},"Passages"),...e)}var Yw=["Laid","Tag","This end first","Then","Through","Over, under; look out","Length"];function nh(n,t,e){let{steps:i,aside:s}=za(n),{laid:r}=t.get();return y("section.printed-work",{},y("h2",{},"Order of work"),br(n,e),...ka(i).map(o=>Zw(n,o,r,e)),i.length?null:y("p",{},"There is no order of work."),_s(n,{aside:s},e))}function Zw(n,{run:t,stage:e,goesOn:i,steps:s},r,o){let{of:a}=s[0].place,l=s.length<a?`${s.length} of `:"",c=[`run ${t.number} of ${t.of}`,`${l}${ae(a,"tube")}`];i&&c.splice(1,0,"continued"),e&&c.unshift(`Stage “${e}”`);let h=y("h3",{},Le(c.join(", ")),t.says?": ":null,o.sentence(t.says));return y("div.printed-run",{},h,qa("work",Yw,s.map(d=>Jw(n,d,r.has(d.tube),o))))}function Jw(n,{tube:t,entry:e},i,s){let r=n.tubes[t],o=Sr(r,e),a=[...e.passes,...e.look_out].map(l=>y("li",{},s.sentence(l)));return[y("span.printed-box",{},i?"✓":""),y("b",{},xt(r.tag)),xt(o.end),xt(o.other),xt(e.through.join(", then ")),a.length?y("ul",{},...a):null,e.length===null?null:s.shown(l=>Va(e.length,l).flatMap((c,h)=>h?[y("br"),c]:[c]))]}var Ar=2,ih={wide:540,high:400};function Sm(n,t){let e=n,i=null;return window.addEventListener("beforeprint",()=>{i?.remove(),i=Kw(e,t),document.body.append(i)}),window.addEventListener("afterprint",()=>i?.remove()),{replace:s=>{e=s}}}function Kw(n,t){let e=zn(n,t),i=t.get().mode==="bench"?jw(n,t,e):Qw(n,t,e);return e.end(),y("div.printed",{"aria-hidden":"true"},y("h1",{class:n.title.length>100?"long":null},xt(n.title)),...i)}function jw(n,t,e){return[y("p.printed-from",{},bm(n)),nh(n,t,e)]}function Qw(n,t,e){return[y("p.printed-summary",{},Le(n.summary),"."),y("p.printed-from",{},bm(n)),t1(n),n1(n),vm(n,e),ym(n,e),Mm(n,e),nh(n,t,e)]}function bm(n){let t=n.plan?`, routes of ${n.plan.file}${n.plan.stale?", which is stale: the scene was changed after it was made":""}`:"",e=new Date().toLocaleDateString("en-CA");return y("span",{},"From ",xt(n.scene),t,`. Printed ${e}.`)}function t1(n){return y("div.printed-pictures",{},...n.views.map((t,e)=>e1(n,e,t)))}function e1(n,t,e){let i=y("canvas",{role:"img","aria-label":e.title}),s={...ih,ratio:Ar,state:Bn,paper:"#ffffff",text:"#000000",dark:!1};return ll(i,n,al(n,t,ih.wide/ih.high),s),y("figure",{},i,y("figcaption",{},e.title))}function n1(n){let e=n.legend.filter(({form:i})=>["tube","lines","hatched","doubt"].includes(i)).map(({text:i,look:s,form:r})=>y("li",{},i1[r](n.looks[s]),i));return e.length?y("ul.printed-legend",{},...e):null}var i1={tube:({colour:n})=>$a(t=>Ya(t,n)),lines:({line:n})=>$a(t=>Ya(t,n)),hatched:({line:n})=>$a(t=>Ya(t,n)),doubt:n=>$a(t=>s1(t,n),"broken")};function $a(n,t=null){let e=y("canvas",{class:t,width:40*Ar,height:12*Ar,"aria-hidden":"true"}),i=e.getContext("2d");return i.scale(Ar,Ar),n(i),e}function Ya(n,t){n.fillStyle=t,n.fillRect(0,0,40,12)}function s1(n,{colour:t,opacity:e,line:i,line_px:s,dashes:r}){n.globalAlpha=e,Ya(n,t),n.globalAlpha=1,n.strokeStyle=i,n.lineWidth=s,n.setLineDash(r),n.strokeRect(1,1,38,10)}var wm=document.documentElement,ys=n=>document.getElementById(n);function r1(){let n=Ba(ys("lay").textContent),t=matchMedia("(prefers-color-scheme: dark)"),e=Sp({unit:n.units,theme:t.matches?"dark":"light"}),i=()=>wm.dataset.theme=e.get().theme;e.on("theme",i),i(),t.addEventListener("change",()=>e.set({theme:t.matches?"dark":"light"})),o1(n,e)}function o1(n,t){jc(ys("masthead"),{lay:n});let e=[_m(ys("lists"),n,t),Sm(n,t)];window.routeviz={lay:n,state:t,stage:null};let i=Ep(ys("case"),n,t);window.routeviz.stage=i.stage,wm.dataset.live&&a1([i,...e],t)}function a1(n,t){let e=y("div.messages",{role:"alert",hidden:!0});document.body.append(e);let i=s=>{e.hidden=!s;let r=y("button",{onclick:()=>e.hidden=!0},"Close");e.replaceChildren(r,...(s??[]).map(o=>y("p",{dir:"auto"},o)))};xm({onLay(s){let{cut:r}=t.get(),{chosen:o,press:a}=l1(window.routeviz.lay,s,t.get());t.set({chosen:null,press:{...a,only:null},cut:r&&{...r}}),window.routeviz.lay=s,document.title=s.title,jc(ys("masthead"),{lay:s}),n.forEach(l=>l.replace(s)),t.set({chosen:o,press:a})},onMessages:i,onGone:s=>i([s])})}function l1(n,t,{chosen:e,press:i}){let s=(a,l)=>t.index[a]?.get(n[a][l].name)??null,r=e&&s(`${e.kind}s`,e.index),o=i.only===null?null:s("solids",i.only);return{chosen:r===null?null:{kind:e.kind,index:r,stays:!0},press:o===null&&i.only!==null?Bn.press:{...i,only:o}}}try{r1()}catch(n){throw ys("lists").append(y("p.plain",{},`This page cannot be shown: ${n.message}.`)),n}})();
